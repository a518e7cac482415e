"""A planning case as rows: what it says of sites, devices, routes and demand."""

from apps.imports.adapters.cases.reading import read_case

__all__ = ["read_case"]
