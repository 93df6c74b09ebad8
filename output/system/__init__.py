"""The machine: files, processes, signals, terminals, what is given and what is read."""
