"""Compiled functions by idea; they take arrays and numbers only. The entry is march.march_hours."""
