from django.contrib.postgres.operations import BtreeGistExtension, TrigramExtension
from django.db import migrations


class Migration(migrations.Migration):
    """What PostgreSQL must be able to do before any table is made: exclusion over ranges, and search by likeness."""

    initial = True
    dependencies = []
    operations = [BtreeGistExtension(), TrigramExtension()]
