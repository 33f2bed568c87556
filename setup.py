"""What the build does besides what pyproject.toml says: the demo workshop's files come into the package."""

from __future__ import annotations

from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py

DEMO = Path("demo") / "workshop"


class WithDemo(build_py):
    """Puts ``demo/workshop/**/*.toml`` beside `bagside.demo_shop`; an editable install reads them where they are."""

    def run(self) -> None:
        """Build, then copy."""
        super().run()
        if self.editable_mode:
            return
        for path in sorted(DEMO.glob("**/*.toml")):
            name = path.relative_to(DEMO)
            if not any(part.startswith(".") or part == "out" for part in name.parts):
                self.copy_file(str(path), str(self._target(name)))

    def _target(self, name: Path) -> Path:
        target = Path(self.build_lib) / "bagside" / "demo_shop" / "workshop" / name
        self.mkpath(str(target.parent))
        return target


setup(cmdclass={"build_py": WithDemo})
