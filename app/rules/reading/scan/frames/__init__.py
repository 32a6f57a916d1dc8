"""Frames: what one sentence tells in any order, each of its words known and each of its numbers used, in the grammar's words.

- One word more, or a number that fits nowhere, and the sentence is left to the grammar.
"""
