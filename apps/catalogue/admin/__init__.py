"""The administration pages of the catalogue; each change is recorded."""

from apps.catalogue.admin import devices, evidence, methods, procedures, resources, versions

__all__ = ["devices", "evidence", "methods", "procedures", "resources", "versions"]
