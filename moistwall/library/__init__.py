"""Finds what a person refers to by name: materials, climates, examples."""

from moistwall.library.materials import (
    LIST_THEM,
    Entry,
    find_entry,
    find_film,
    find_material,
    find_record,
    material_files,
    material_kinds,
    material_names,
)
from moistwall.library.shipped import (
    data_folder,
    example_names,
    find_assembly,
    find_stages,
    path_is,
    stages_names,
)
from moistwall.library.years import climate_names, find_climate_path, nearest_normals, read_year

__all__ = [
    "LIST_THEM",
    "Entry",
    "climate_names",
    "data_folder",
    "example_names",
    "find_assembly",
    "find_climate_path",
    "find_entry",
    "find_film",
    "find_material",
    "find_record",
    "find_stages",
    "material_files",
    "material_kinds",
    "material_names",
    "nearest_normals",
    "path_is",
    "read_year",
    "stages_names",
]
