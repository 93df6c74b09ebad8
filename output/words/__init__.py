"""Words of the program and the letters that they are printed in."""
