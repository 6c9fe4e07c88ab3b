"""People who log in: admin, coordinator, floor lead. Volunteers, guardians and contacts never need to."""

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from core import clock
from people.rules.roles import ROLES


class Users(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **more: Any) -> "User":
        if not email:
            raise ValueError("An account needs an email address.")
        user = self.model(email=email.strip().lower(), **more)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **more: Any) -> "User":
        return self.create_user(email, password, is_superuser=True, **more)

    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(email__iexact=username or "")


class User(AbstractBaseUser, PermissionsMixin):
    email = models.EmailField(_("email"), unique=True)
    name = models.CharField(_("name"), max_length=120)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=clock.now, editable=False)

    objects: ClassVar[Users] = Users()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        constraints = [models.UniqueConstraint(Lower("email"), name="one_account_per_address")]
        permissions = [(code, code.replace("_", " ").capitalize()) for code in ROLES["admin"]]

    def __str__(self) -> str:
        return self.name

    @property
    def role_name(self) -> str:
        """The account's role that reaches farthest, for the page's corner; "" without one."""
        held = {group.name for group in self.groups.all()}
        return next((role for role in ROLES if role in held), "admin" if self.is_superuser else "")
