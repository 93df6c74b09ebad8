"""What is drawn on a sheet: lines, marks, labels, words."""
