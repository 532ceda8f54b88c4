"""The picture of where a floor is warm: worked out, drawn, told in figures."""
