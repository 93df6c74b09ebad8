"""A server and a browser for the tests of the pages."""

from browser import browser_of_a_file, desk_server, examine, open_desk, open_tab, server

__all__ = ["browser_of_a_file", "desk_server", "examine", "open_desk", "open_tab", "server"]
