"""One file a kind of thing kept: functions on an open transaction."""
