"""`python -m config.languages compile` and `update`: the catalogues of texts."""

import sys

from config.languages.compiling import compile_all
from config.languages.messages import ROOT, catalog_update


def main(arguments: list[str]) -> int:
    if arguments == ["compile"]:
        compile_all(ROOT / "locale")
        return 0
    if arguments == ["update"]:
        texts, missing = catalog_update()
        print(f"{texts} texts, {missing} of them without Spanish")
        return 0
    print("python -m config.languages compile|update", file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
