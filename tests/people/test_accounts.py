"""Signing in and out, passwords, and who may what."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import Group
from django.db import IntegrityError
from django.test import Client
from django.urls import get_resolver, reverse

from core import clock
from outbox.services.sending import send_due
from people.models import User
from people.rules.roles import ROLES
from people.services.roles import ensure_roles
from tests.conftest import PASSWORD


def test_signing_in_leads_to_the_first_page_of_the_role(stranger, coordinator, floor_lead):
    for account, first in ((coordinator, "/ahead/"), (floor_lead, "/clinics/")):
        client = Client()
        answer = client.post(reverse("login"), {"username": account.email.upper(), "password": PASSWORD}, follow=True)
        assert answer.request["PATH_INFO"] == first


def test_a_wrong_password_says_what_to_do_and_keeps_the_address(stranger, coordinator):
    answer = stranger.post(reverse("login"), {"username": coordinator.email, "password": "wrong"})

    text = answer.content.decode()
    assert "Check both, or reset your password" in text and coordinator.email in text


def test_many_wrong_passwords_close_the_door_for_a_while_even_to_the_right_one(stranger, coordinator):
    for _ in range(8):
        stranger.post(reverse("login"), {"username": coordinator.email, "password": "wrong"})

    answer = stranger.post(reverse("login"), {"username": coordinator.email, "password": PASSWORD})

    assert answer.status_code == 429


def test_signing_out_takes_a_post(coordinator, signed_in):
    client = signed_in(coordinator)
    assert client.get(reverse("logout")).status_code == 405

    client.post(reverse("logout"))

    assert client.get(reverse("ahead")).status_code == 302


def test_a_short_password_is_refused_with_the_reason(coordinator, signed_in):
    answer = signed_in(coordinator).post(
        reverse("password_change"), {"old_password": PASSWORD, "new_password1": "short", "new_password2": "short"}
    )

    assert "at least 15 characters" in answer.content.decode()
    coordinator.refresh_from_db()
    assert coordinator.check_password(PASSWORD)


def test_the_link_in_a_letter_about_a_password_runs_out_by_the_clock_of_the_site(
    stranger, coordinator, mailoutbox, move_clock
):
    stranger.post(reverse("password_reset"), {"email": coordinator.email})
    send_due()
    link = next(word for word in mailoutbox[0].body.split() if word.startswith("http")).split("testserver", 1)[1]
    began = clock.now()

    move_clock(began + timedelta(minutes=59))
    assert "new_password1" in stranger.get(link, follow=True).content.decode()
    move_clock(began + timedelta(minutes=61))
    assert "new_password1" not in stranger.get(link, follow=True).content.decode()


def test_two_accounts_cannot_share_an_address_in_another_case(coordinator):
    with pytest.raises(IntegrityError):
        User.objects.create(email=coordinator.email.upper(), name="Another")


def test_roles_hold_exactly_what_the_table_says(db):
    ensure_roles()
    ensure_roles()

    held = {group.name: {p.codename for p in group.permissions.all()} for group in Group.objects.all()}
    assert held == {role: set(codes) for role, codes in ROLES.items()}


# Pages that need no account, each for its reason.
OPEN = {
    "booking-request", "booking-request-check", "booking-check",  # by signed link
    # the floor page: by the lead's link, then by the cookie of the phone
    "floor-open", "floor-open-stand-in",
    "floor", "floor-worker", "floor-manifest", "floor-data", "floor-sync", "floor-leave",
    "center-feed-ics", "office-feed-ics",  # calendars, by an address that can be renewed
    "home",  # only sends on
    "login", "logout", "password_reset", "password_reset_done", "password_reset_confirm", "password_reset_complete",
    "health-alive", "health-ready",
    "shift-reply", "booking-answer", "stop-reminders", "own-page", "own-feed", "join-link",  # by signed link
    # what a volunteer does on their own page, by the same link
    "own-page-times", "own-page-details", "own-feed-renew", "own-page-leave",
    "address-confirm", "backup-link", "backup-call", "swap-answer", "swap-offer",  # by signed link
    "family-page", "family-child", "family-child-new", "family-clinic", "family-signed",  # by signed link
    # what a guardian does on those pages, by the same link
    "family-confirm", "family-language", "family-who", "family-new-address", "family-reminders",
    "family-spot-yes", "family-spot-no", "family-spot-give-up",
    "family-ask-copy", "family-ask-erasure", "family-new-link",
    "family-child-change", "family-child-care", "family-child-care-write", "family-child-emergency",
    "family-pickup-person-new", "family-pickup-person-end", "family-child-photos", "family-child-sign",
    "family-waiver-withdraw", "family-child-invite",
    "spot-answer", "family-address", "family-stop",  # by signed link
    "join", "join-thanks",  # the public page
    "register", "register-link", "register-clinic", "register-done",  # families register
    "family-copy",  # by signed link
    "mail", "mail-one",  # the demo's mail catcher, on this machine only
}  # fmt: skip


def named_addresses():
    for pattern in get_resolver().url_patterns:
        yield from getattr(pattern, "url_patterns", [pattern])


def test_every_address_is_open_on_purpose_or_names_who_may(db, stranger):
    for one in named_addresses():
        if one.name in OPEN:
            continue
        arguments = dict.fromkeys(one.pattern.converters, 1)
        answer = stranger.get(reverse(one.name, kwargs=arguments))
        # A page that only takes a POST says so before it asks who; then its POST must ask.
        if answer.status_code == 405:
            answer = stranger.post(reverse(one.name, kwargs=arguments))
        assert answer.status_code == 302 and answer["Location"].startswith("/log-in/"), one.name
