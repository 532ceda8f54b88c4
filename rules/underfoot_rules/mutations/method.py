"""Damage to what the rules of method see."""

from __future__ import annotations

from underfoot.api import Mutation

MUTATIONS: tuple[Mutation, ...] = ()
