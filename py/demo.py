"""Build brinefront into its own environment and compare two strategies on the built-in scenario."""

from __future__ import annotations

from environment import TOP, prepare, run

if __name__ == "__main__":
    folder = TOP / "brinefront-comparison"
    run(prepare(), "-m", "brinefront", "compare", "--out", folder)
    print(f"\nTable and pictures are in {folder.name}/")
