"""Weather: the hourly record, its readers, and the checks that all of them share."""
