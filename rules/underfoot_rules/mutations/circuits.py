"""Damage to what the rules of circuits see."""

from __future__ import annotations

from underfoot.api import Mutation

MUTATIONS: tuple[Mutation, ...] = ()
