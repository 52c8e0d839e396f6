"""Every sentence that a person reads, made from typed values; nothing is decided or computed here."""
