"""Parts while they are made: the plan that is frozen, what events make of them, what is refused, what masses mean."""
