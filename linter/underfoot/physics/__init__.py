"""The physics of the floor: numbers in, numbers out."""
