"""A server and a browser for the benchmarks of the pages."""

from browser import browser_of_a_file, server

__all__ = ["browser_of_a_file", "server"]
