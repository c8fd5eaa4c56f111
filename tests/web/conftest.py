"""The fixtures of `browsing`, for every test of pages."""

from browsing import address, begun_once, browser, client, house, opened, record

__all__ = ["address", "begun_once", "browser", "client", "house", "opened", "record"]
