"""What each command does: a function of its request, for the command line and for Python alike."""
