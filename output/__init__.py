"""Everything that leaves the program: printable PDF, pieces.json, the command line."""
