"""The model: from shots to a posterior. Takes no decisions."""
