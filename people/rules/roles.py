"""The one place where a role gets its rights."""

__all__ = ["ROLES"]

ROLES: dict[str, tuple[str, ...]] = {
    "admin": (
        "see_ahead",
        "see_clinics",
        "see_centers",
        "see_volunteers",
        "see_horizon",
        "see_kits",
        "see_outbox",
        "book_clinics",
        "cover_clinics",
        "keep_centers",
        "keep_volunteers",
        "keep_clearances",
        "keep_policy",
        "keep_kits",
        "keep_outbox",
    ),
    "coordinator": (
        "see_ahead",
        "see_clinics",
        "see_centers",
        "see_volunteers",
        "see_horizon",
        "see_kits",
        "see_outbox",
        "book_clinics",
        "cover_clinics",
        "keep_centers",
        "keep_volunteers",
        "keep_kits",
        "keep_outbox",
    ),
    "floor lead": ("see_clinics", "see_centers", "see_kits", "keep_kits"),
}
