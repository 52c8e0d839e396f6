"""The pictures, one a file. No person's words go into a picture: plotting code reads some text as markup."""
