"""What holds for every test: none is timed, so a busy machine fails nothing; speed is the benchmark's matter."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
