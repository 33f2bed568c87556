"""Cloth, goods, moulds and places: what events make of them, what is refused, what planning may use."""
