"""Results in words: names, units and words of figures and columns, text for a terminal, small tables for a notebook."""
