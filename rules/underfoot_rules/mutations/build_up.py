"""Damage to what the rules of build-up see."""

from __future__ import annotations

from underfoot.api import Mutation

MUTATIONS: tuple[Mutation, ...] = ()
