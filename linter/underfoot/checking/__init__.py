"""Plan -> Report: facts, rules, settings, waivers, engine."""
