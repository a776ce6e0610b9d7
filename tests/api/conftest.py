"""The interface's tests stand on Django, set up on the test run's own folder."""

from halfwater import config

config.boot()
