"""moistwall: does this enclosure stay dry, hour by hour, in a hot-humid climate?"""

__version__ = "0.1.0"
