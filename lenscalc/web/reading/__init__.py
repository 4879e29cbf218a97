"""One lot, from reading to verdict: the sheet as fields and tables."""
