"""From what the last sheet had, or the house's usual, to what the next one is asked for. Writes nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from clinics.models import Clinic
from core.refusal import Refusal
from runsheets.forms.run_sheets import FITS, IN, SheetForm
from runsheets.models import Activity, RunSheetPlan
from runsheets.queries.run_sheet_facts import SheetChild, expected_ages, sheet_children
from runsheets.rules.grouping import MOST, Child
from runsheets.rules.sheet_facts import strictest
from runsheets.rules.sheet_groups import (
    SheetGroup,
    carried_over,
    groups_by_hand,
    households,
    proposed,
)
from runsheets.services.run_sheets import SheetChoice
from runsheets.words.groups import ages_words, group_notes
from runsheets.words.reasons import problem_words

__all__ = [
    "GroupShown",
    "Start",
    "again_choice",
    "choice_of",
    "first_choice",
    "groups_shown",
    "proposed_groups",
    "start_of",
    "usual_activities",
]

# What a first sheet has, where the house still offers it: hoops, hands and feet, then the STEM part by the theme.
_USUAL = ("partner-shooting", "step-back-ladder", "ball-handling", "footwork", "water", "closer")
_USUAL_STEM = "pulse-data"


@dataclass(frozen=True)
class Start:
    initial: dict[str, Any]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class GroupShown:
    """A group on the page where children are moved: its children with the field that moves each."""

    code: str
    count: int
    ages: str
    children: list[tuple[SheetChild, Any]]


def usual_activities(clinic: Clinic, activities: Sequence[Activity]) -> dict[str, str]:
    """Each offered activity by code: in, or left out."""
    stem = [one for one in activities if one.kind == Activity.Kind.STEM]
    words = {word.strip(",.-").casefold() for word in clinic.theme.replace("-", " ").split() if len(word) > 3}
    # "Shot-arc geometry" is "arc-geometry", "Simple circuits" is "drop-circuit": the longest shared beginnings.
    best = max(stem, key=lambda one: (_alike(one, words), one.code == _USUAL_STEM), default=None) if words else None
    chosen = {*_USUAL, *([best.code] if best else [])}
    return {one.code: IN if one.code in chosen else "" for one in activities}


def _alike(one: Activity, words: set[str]) -> int:
    own = {word for word in f"{one.code.replace('-', ' ')} {one.name}".casefold().split() if len(word) > 3}
    return sum(mine.startswith(word[:6]) or word.startswith(mine[:6]) for mine in own for word in words)


def start_of(
    clinic: Clinic, activities: Sequence[Activity], children: Sequence[SheetChild], last: RunSheetPlan | None
) -> Start:
    """What the page begins with: the last sheet's choices with today's children, else the usual."""
    initial: dict[str, Any] = {"advanced_apart": False, "siblings": True, "changeover": 1, "water_every": 25}
    usual = usual_activities(clinic, activities)
    if last is not None:
        facts = last.facts
        had = {one["code"] for one in facts["activities"]}
        usual = {code: (FITS if code in facts["optional"] else IN) if code in had else "" for code in usual}
        initial |= {name: facts[name] for name in ("advanced_apart", "siblings", "changeover", "water_every")}
        there = {child.pk for child in children}
        initial["pairs"] = [f"{one}-{other}" for one, other in facts["together"] if {one, other} <= there]
    initial |= {f"a_{code}": how for code, how in usual.items()}
    if not children:
        by_age = last is not None and not any(one["children"] for one in last.groups)
        return Start(initial | {"number": len(last.groups)} if last is not None and by_age else initial)
    if last is not None and any(one["children"] for one in last.groups):
        chosen = carried_over(_rule(children), last.groups, advanced_apart=initial["advanced_apart"])
        return Start(initial | {f"g_{pk}": code for pk, code in chosen.items()})
    most = _most(activities, [code for code, how in usual.items() if how])
    notes: tuple[str, ...] = ()
    try:
        groups, notes = _propose(clinic, children, None, _homes(children), False, most)
    except Refusal as refusal:
        groups, more = _propose(clinic, children, None, [], False, most)
        notes = (str(refusal), gettext("Groups are made by age only."), *more)
    return Start(initial | {f"g_{pk}": one.code for one in groups for pk in one.children}, notes)


def proposed_groups(
    clinic: Clinic, form: SheetForm, children: Sequence[SheetChild]
) -> tuple[dict[int, str], tuple[str, ...]]:
    """Each child's group made again, and what was thought of. Raises Refusal where it can't be."""
    groups, notes = _from_form(clinic, form, children)
    return {pk: one.code for one in groups for pk in one.children}, notes


def choice_of(clinic: Clinic, form: SheetForm, children: Sequence[SheetChild]) -> SheetChoice:
    """What a valid form asks for. Raises Refusal where no groups can be made."""
    data = form.cleaned_data
    if children:
        _pairs_kept(form, children)
        groups = groups_by_hand(_rule(children), form.by_hand, advanced_apart=data["advanced_apart"])
    else:
        groups, _ = _from_form(clinic, form, children)
    return SheetChoice(
        activities=form.chosen,
        groups=groups,
        optional=form.optional,
        advanced_apart=data["advanced_apart"],
        siblings=data["siblings"],
        together=form.together,
        changeover=data["changeover"],
        water_every=data["water_every"],
    )


def _pairs_kept(form: SheetForm, children: Sequence[SheetChild]) -> None:
    """Refusal where two who are to be kept together were put into different groups."""
    names, chosen = {child.pk: child.name for child in children}, form.by_hand
    for one, other in form.together:
        if chosen[one] != chosen[other]:
            words = gettext(
                "%(one)s and %(other)s should stay together but are in groups %(first)s and %(second)s. "
                "Remake the groups, or move one child."
            )
            facts = {"one": names[one], "other": names[other], "first": chosen[one], "second": chosen[other]}
            raise Refusal.because("pair apart", words % facts)


def first_choice(clinic: Clinic, activities: Sequence[Activity]) -> SheetChoice:
    """The usual activities and the groups the rule makes of who is there. Raises Refusal where none can be made."""
    children = sheet_children(clinic)
    codes = [code for code, how in usual_activities(clinic, activities).items() if how]
    groups, _ = _propose(clinic, children, None, _homes(children), False, _most(activities, codes))
    return SheetChoice(activities=codes, groups=groups)


def again_choice(clinic: Clinic, last: RunSheetPlan, *, leave_out: str = "", more_groups: bool = False) -> SheetChoice:
    """The last sheet's choice with today's children. Raises Refusal where no groups can be made."""
    facts = last.facts
    children = sheet_children(clinic)
    there = {child.pk for child in children}
    pairs = [(one, other) for one, other in facts["together"] if {one, other} <= there]
    offered = set(Activity.objects.offered().values_list("code", flat=True))
    codes = [one["code"] for one in facts["activities"] if one["code"] != leave_out and one["code"] in offered]
    apart = bool(facts["advanced_apart"])
    if children and not more_groups and any(one["children"] for one in last.groups):
        rule = _rule(children)
        chosen = carried_over(rule, last.groups, advanced_apart=apart)
        groups = groups_by_hand(rule, chosen, advanced_apart=apart)
    else:
        # Groups of expected children stay as many as they were, while that many can still be made.
        keep = not children and not any(one["children"] for one in last.groups)
        number = len(last.groups) + more_groups if keep or more_groups else None
        together = [*pairs, *(_homes(children) if facts["siblings"] else [])]
        most = _most(list(Activity.objects.filter(code__in=codes)), codes)
        try:
            groups, _ = _propose(clinic, children, number, together, apart, most)
        except Refusal:
            if number is None or more_groups:
                raise
            groups, _ = _propose(clinic, children, None, together, apart, most)
    return SheetChoice(
        activities=codes,
        groups=groups,
        optional=[code for code in facts["optional"] if code != leave_out],
        advanced_apart=apart,
        siblings=facts["siblings"],
        together=pairs,
        changeover=facts["changeover"],
        water_every=facts["water_every"],
    )


def groups_shown(clinic: Clinic, form: SheetForm, children: Sequence[SheetChild]) -> list[GroupShown]:
    """The groups as the form has them now, whether or not it can be taken."""
    if not children:
        try:
            number = int(form["number"].value() or 0) or None
            most = _most(form.activities, [one.code for one in form.activities if form[f"a_{one.code}"].value()])
            groups, _ = _propose(clinic, (), number, [], False, most)
        except (Refusal, ValueError):
            return []
        return [GroupShown(one.code, one.count, ages_words(one.youngest, one.oldest), []) for one in groups]
    found: dict[str, list[tuple[SheetChild, Any]]] = {}
    for child in children:
        field = form[f"g_{child.pk}"]
        found.setdefault(str(field.value() or gettext("none yet")), []).append((child, field))
    return [
        GroupShown(code, len(some), ages_words(min(c.age for c, _ in some), max(c.age for c, _ in some)), some)
        for code, some in sorted(found.items())
    ]


def _from_form(
    clinic: Clinic, form: SheetForm, children: Sequence[SheetChild]
) -> tuple[list[SheetGroup], tuple[str, ...]]:
    data = form.cleaned_data
    together = [*form.together, *(_homes(children) if data["siblings"] else [])]
    most = _most(form.activities, form.chosen)
    return _propose(clinic, children, data["number"], together, data["advanced_apart"], most)


def _propose(
    clinic: Clinic,
    children: Sequence[SheetChild],
    number: int | None,
    together: Sequence[tuple[int, ...]],
    advanced_apart: bool,
    most: int,
) -> tuple[list[SheetGroup], tuple[str, ...]]:
    rule = _rule(children) or [Child(f"expected {place:03}", age) for place, age in enumerate(expected_ages(clinic))]
    ratio = strictest(clinic.ratio_tables)
    try:
        groups, notes = proposed(
            rule, number=number, together=together, advanced_apart=advanced_apart, most=most, ratio=ratio
        )
    except ValueError as problem:
        raise Refusal.because("groups", problem_words(problem), "number" if number else None) from problem
    return groups, group_notes(notes)


def _rule(children: Sequence[SheetChild]) -> list[Child]:
    return [Child(child.pk, child.age, child.advanced) for child in children]


def _homes(children: Sequence[SheetChild]) -> list[tuple[int, ...]]:
    return households({child.pk: child.guardians for child in children})


def _most(activities: Sequence[Activity], chosen: Sequence[str]) -> int:
    """Most children in a group: what the smallest station that everyone goes to takes."""
    sizes = [
        one.group_size
        for one in activities
        if one.code in chosen and one.station and one.level != Activity.Level.ADVANCED
    ]
    return min([MOST, *sizes])
