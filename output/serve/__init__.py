"""Pages in a browser for those who have no terminal: the wearer's counter and the designer's desk.

They ask what the command line asks, by the same requests, and get the same files.
"""
