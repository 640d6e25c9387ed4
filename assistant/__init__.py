"""Sidelight: a walk round your own car before its yearly inspection."""

__version__ = "0.1.0"
