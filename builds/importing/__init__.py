"""Reading job lists and parts lists from files. Nothing here knows the database."""
