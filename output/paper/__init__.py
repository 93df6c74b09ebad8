"""Paper: its sizes, how pieces lie on it, and where its pages join."""
