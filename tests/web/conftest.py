"""The fixtures of `browsing`, for every test of pages."""

from browsing import address, browser, client, house, opened, record

__all__ = ["address", "browser", "client", "house", "opened", "record"]
