"""Results in tables: frames and datasets with their units, made of what the native half hands over."""
