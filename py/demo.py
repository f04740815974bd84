"""Build brinefront into its own environment and compare two strategies on the built-in scenario."""

from __future__ import annotations

from environment import TOP, prepare, run

if __name__ == "__main__":
    folder = TOP / "brinefront-comparison"
    python = prepare("plot,report,live,units")
    run(python, "-m", "brinefront", "compare", "--out", folder)
    run(python, "-m", "brinefront", "report", "--out", folder / "report.html")
    print(f"\nTable and pictures are in {folder.name}/, all of it to print in {folder.name}/report.html")
