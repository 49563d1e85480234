"""The version of this package; part of every fingerprint."""

__version__ = "0.2.0"
