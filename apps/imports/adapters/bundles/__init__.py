"""Bundles of FHIR R4 (4.0.1): sites and areas as pairs of Location and Organization, as IHE mCSD
has them, what a site offers as a HealthcareService, and devices."""

from apps.imports.adapters.bundles.reading import read_fhir
from apps.imports.adapters.bundles.writing import bundle

__all__ = ["bundle", "read_fhir"]
