"""Copies of the whole house in one file, made while people work, and brought back checked.

archive.py     the file itself: a manifest with hashes, the database, the photographs
databases.py   SQLite by its online backup, PostgreSQL by pg_dump and pg_restore
pictures.py    the photographs' files, wherever Django's storage keeps them
services.py    back_up(...) and restore(...), as `make backup` and `make restore` call them
"""
