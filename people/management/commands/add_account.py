"""Adds someone who logs in, and asks for their password at the terminal."""

import getpass
import sys
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import CommandError
from django.core.validators import validate_email
from django.db import transaction

from core.acting import ActingCommand
from people.models import User
from people.rules.roles import ROLES
from people.services.roles import ensure_roles


class Command(ActingCommand):
    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("role", choices=list(ROLES))
        parser.add_argument("email")
        parser.add_argument("name")

    def handle(self, *args: Any, **options: Any) -> None:
        email, name = options["email"].strip().lower(), " ".join(options["name"].split())
        try:
            validate_email(email)
        except ValidationError:
            raise CommandError(f"'{email}' is not an email address. Write it like name@example.org.") from None
        if User.objects.filter(email__iexact=email).exists():
            raise CommandError(f"There is an account for {email} already.")
        # Piped in by a script, or typed unseen.
        password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
        account = User(email=email, name=name)
        try:
            validate_password(password, account)
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from None
        with transaction.atomic():
            ensure_roles()
            account.set_password(password)
            account.save()
            account.groups.add(Group.objects.get(name=options["role"]))
        self.stdout.write(f"{name} can log in as {options['role']}.")
