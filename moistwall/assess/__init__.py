"""The assessment: hours of wetness and drying, from a result alone."""
