"""The assembly file: what it may say, how it is read, and how it becomes a section."""

from moistwall.assembly.reading import Assembly, assembly_from_data, read_assembly
from moistwall.assembly.resolving import load_paths, load_section, load_stages, resolve
from moistwall.assembly.schema import AssemblyFile, assembly_json_schema

__all__ = [
    "Assembly",
    "AssemblyFile",
    "assembly_from_data",
    "assembly_json_schema",
    "load_paths",
    "load_section",
    "load_stages",
    "read_assembly",
    "resolve",
]
