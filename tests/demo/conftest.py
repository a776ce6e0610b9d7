"""The demo of one day is the same demo: simulated once for all tests that load it or look at its truth."""

from functools import cache

from halfwater import config

config.boot()

from halfwater.deeds import demo  # noqa: E402

demo.demo_book = cache(demo.demo_book)
