"""Results in files, and read back from them: CSV, Parquet, NetCDF and Zarr."""
