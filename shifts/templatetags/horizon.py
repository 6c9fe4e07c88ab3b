"""The repeated parts of the drawn horizon. Two hundred rows of them are too many for loops in a template."""

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from shifts.queries.horizon import ClinicMark, HorizonRow
from shifts.words.bars import bar_words

register = template.Library()


@register.simple_tag
def bars(row: HorizonRow) -> SafeString:
    """What is not current, then what is current over it: one path each."""
    out, good = "".join(bar.bad_path for bar in row.bars), "".join(bar.good_path for bar in row.bars)
    return format_html(
        "{}{}",
        format_html('<path class="out" fill="url(#hatch)" d="{}"/>', out) if out else "",
        format_html('<path class="in" d="{}"/>', good) if good else "",
    )


@register.simple_tag
def clinics(row: HorizonRow) -> SafeString:
    """An upright line for each clinic, ended by a cross where the person isn't cleared that day."""
    return format_html_join("", "{}", ((_clinic(mark, row.lines_end),) for mark in row.marks))


def _clinic(mark: ClinicMark, end: int) -> SafeString:
    if mark.breaks:
        foot = format_html('<path d="M-5 {}l10 10m0 -10l-10 10"/>', end - 5)
    else:
        foot = format_html('<circle cx="0" cy="{}" r="4.5"/>', end)
    return format_html(
        '<g class="{}" transform="translate({})"><line x1="0" x2="0" y1="0" y2="{}"/>{}<title>{}</title></g>',
        "cut" if mark.breaks else "ok",
        mark.x,
        end - 10,
        foot,
        mark.words,
    )


@register.simple_tag
def expiries(row: HorizonRow) -> SafeString:
    """Each bar's expiry in words, in a column of its own at the right."""
    return format_html_join(
        "",
        '<text{} x="{}" y="{}">{}</text>',
        (
            (_tone(bar.trouble, bar.soon), bar.word_x, bar.y + 15, bar_words(bar.told))
            for bar in row.bars
            if bar.told.code
        ),
    )


def _tone(trouble: bool, soon: bool) -> SafeString:
    name = "word" if trouble else "now-word" if soon else ""
    return format_html(' class="{}"', name) if name else format_html("{}", "")


@register.simple_tag
def kinds(row: HorizonRow) -> SafeString:
    return format_html_join("", "<li>{}</li>", ((bar.kind,) for bar in row.bars))
