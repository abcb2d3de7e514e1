"""What can be asked for on the command line: words in, an answer out.

A command takes the parsed words and returns an `Answer`; it prints nothing and
ends nothing. `ledger.__main__` does both, in one place.
"""
