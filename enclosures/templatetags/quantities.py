"""Numbers as people read them: figure and unit kept together, no false precision, nothing bare."""

from __future__ import annotations

from django import template

register = template.Library()
