"""The logbook: storage, migrations, import and export."""
