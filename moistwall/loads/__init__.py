"""Hourly series that drive a section and do not depend on its state."""
