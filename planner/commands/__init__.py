"""The commands of the program, one a file: read, ask, show.

- What a command takes in place of FILE may be a shop folder (`commands/common.read`).
"""
