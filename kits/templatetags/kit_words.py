"""Kits in words, for templates: the filters are the functions of ``kits/words``."""

from django import template

from kits.words import items, kits

__all__ = ["register"]

register = template.Library()

for _write in (
    items.line_amount,
    items.loss_words,
    items.righted_words,
    items.short_first,
    items.short_items,
    kits.every_words,
    kits.trouble_words,
):
    register.filter(_write.__name__, _write)
