"""Set-ups whose readings a gauge can read well."""
