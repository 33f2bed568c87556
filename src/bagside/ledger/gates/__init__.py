"""What must hold before a step of a build, each with its number, its limit and what that rests on."""
