"""An hourly year from monthly values: `built_year`, and one module for each part of the weather."""

from moistwall.climate.built.year import LABEL, built_year

__all__ = ["LABEL", "built_year"]
