"""Input as bad as it comes, into every way in: it is taken whole, or refused in words with nothing changed."""
