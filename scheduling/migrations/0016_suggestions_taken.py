"""A center that named another time is told that its time is taken."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("scheduling", "0015_moves_are_told"),
    ]

    operations = [
        migrations.AlterField(
            model_name="note",
            name="kind",
            field=models.CharField(
                choices=[
                    ("booking-ask", "floor asked for"),
                    ("booking-ask-many", "floor asked for, several days"),
                    ("hold-ending", "hold about to end"),
                    ("booking-shorter", "floor needed for less"),
                    ("booking-taken", "suggested time taken"),
                    ("booking-called-off", "floor no longer needed"),
                    ("floor-left", "floor given back, clinic elsewhere"),
                    ("shift-ask", "shift asked"),
                    ("shift-changed", "shift moved"),
                    ("shift-told", "shift moved a little"),
                    ("shift-released", "shift released"),
                    ("clinic-cancelled", "clinic cancelled"),
                    ("reminder", "reminder"),
                    ("agreement-ending", "agreement about to end"),
                    ("clearance-notice", "clearance to renew"),
                    ("clinic-breaks", "clearance breaks a clinic"),
                    ("password-reset", "new password"),
                    ("apply-confirm", "address to confirm"),
                    ("apply-more", "asked for more"),
                    ("apply-accepted", "application accepted"),
                    ("apply-declined", "application declined"),
                    ("own-page", "link to their own page"),
                    ("address-confirm", "new address to confirm"),
                    ("standby", "stands by"),
                    ("standby-ended", "no longer stands by"),
                    ("standby-call", "called from stand-by"),
                    ("late-drop", "late drop-out"),
                    ("swap-ask", "swap asked"),
                    ("swap-done", "swap settled"),
                    ("address-changed", "address changed"),
                    ("places", "places asked for"),
                    ("place-offer", "place come free"),
                    ("place-lost", "place ended"),
                    ("family-link", "link to the family page"),
                    ("family-moved", "clinic moved, to a family"),
                    ("family-cancelled", "clinic cancelled, to a family"),
                    ("waiver-ask", "waiver to sign"),
                    ("family-request", "copy or erasure"),
                ],
                max_length=24,
            ),
        ),
    ]
