"""Published tables, packaged as CSV, each named after its source (``sources.bib``)."""
