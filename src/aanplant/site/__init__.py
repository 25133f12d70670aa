"""What is there: the field's outline, its frame, and what rows must keep clear of."""

from aanplant.site.survey import Site, survey

__all__ = ["Site", "survey"]
