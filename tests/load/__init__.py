"""The real serving process under load: killed, copied, and held against its acts afterwards.

`python -m tests.load.kills` and `python -m tests.load.mixed` make a book of their own, in a
folder that is gone afterwards or in an empty database named by `DATABASE_URL`.
"""
