"""The C++ reference, made from the headers' own comments, one page a layer."""

import re
from pathlib import Path

import c_pages
from headers import Declaration, Header, read_header
from sphinx.domains.cpp import DefinitionParser
from sphinx.errors import SphinxError
from sphinx.util.cfamily import DefinitionError
from text import ROOT, code, fence, plain, table, toctree

_INCLUDE = ROOT / "cpp" / "include"
_WINCH = ROOT / "tests" / "consumers" / "cpp" / "winch.cpp"
#: In the order of the layers; the laws have pages of their own.
_LAYERS = {
    "number": "what a law may do with its number",
    "network": "bodies and couplings, modes, integration with switching; knows no car",
    "car": "the parameters, the field table, the car as a plant, warnings",
    "run": "launches, sweeps, the list of scalar results",
    "fit": "what was seen of a car, the fit to it, the best of one setting",
}


def write_cpp(out: Path) -> None:
    """Write a page for each layer and their list."""
    (out / "cpp").mkdir()
    for layer, meaning in _LAYERS.items():
        parts = [f"# {layer.capitalize()}\n\nNamespace `layshaft`: {meaning}.\n"]
        for path in sorted((_INCLUDE / "layshaft" / layer).glob("*.hpp")):
            parts += _part(read_header(path))
        (out / "cpp" / f"{layer}.md").write_text("\n".join(parts), encoding="utf-8")
    listed = [(f"[{layer}](cpp/{layer}.md)", meaning) for layer, meaning in _LAYERS.items()]
    listed.insert(
        1, ("[laws](laws.md)", "engine, clutch, shoes, gears, belts, tyre, air, fuel, heat")
    )
    others = c_pages.write_c(out)
    text = "# C++\n\nAll names lie in the namespace `layshaft`; a header of a layer needs only the "
    text += "layers above it in this list.\n\n" + table(("layer", "holds"), listed) + "\n"
    if others:
        text += "\nFor programs that know no C++ there is an interface [in C](c.md).\n\n"
    for path in sorted((_INCLUDE / "layshaft").glob("*.hpp")):
        text += "\n".join(_part(read_header(path)))
    text += "\n## A plant of your own\n\nOther drivetrains are built from parts as this one is. A "
    text += "winch, whole, with the closed forms it is held against:\n\n"
    text += fence("cpp", _WINCH.read_text(encoding="utf-8"))
    text += toctree([*(f"cpp/{layer}" for layer in _LAYERS), *others], hidden=True)
    (out / "cpp.md").write_text(text, encoding="utf-8")


def _part(header: Header) -> list[str]:
    name = header.path.relative_to(_INCLUDE).as_posix()
    about = [fence("text", text) if "\n" in text else plain(text) + "\n" for text in header.about]
    return [
        f"## {header.path.name}\n",
        fence("cpp", f'#include "{name}"'),
        *about,
        reference(header),
    ]


def reference(header: Header) -> str:
    """Describe all that a header declares."""
    return "```{cpp:namespace} layshaft\n```\n\n" + _all(header.declarations)


def _all(declarations: list[Declaration]) -> str:
    parts = []
    for each in declarations:
        if each.kind == "namespace":
            parts.append(f"```{{cpp:namespace-push}} {each.code}\n```\n\n{_all(each.members)}")
            parts.append("```{cpp:namespace-pop}\n```\n")
        elif not _is_definition(each):
            parts.append(_described(each))
    return "\n".join(parts)


def _is_definition(declaration: Declaration) -> bool:
    """Whether it only defines what its class declares."""
    return bool(re.search(r"\b[A-Z]\w*(<\w+>)?::~?\w+\(", declaration.code.partition("(")[0] + "("))


def _described(declaration: Declaration, colons: int = 5) -> str:
    inner = [plain(declaration.doc) + "\n"] if declaration.doc else []
    fields = [each for each in declaration.members if each.kind in ("value", "enumerator")]
    if fields and not any(field.doc for field in fields):
        inner.append(", ".join(code(field.code) for field in fields) + "\n")
    elif fields:
        inner.append(table(("member", "meaning"), ((code(f.code), plain(f.doc)) for f in fields)))
    methods = (each for each in declaration.members if each.kind not in ("value", "enumerator"))
    inner += [_described(each, colons - 1) for each in methods if _is_worth_it(each)]
    directive, signature = _directive(declaration)
    if not directive:
        return "\n".join([fence("cpp", declaration.code), *inner])
    rim = ":" * colons
    return f"{rim}{{cpp:{directive}}} {signature}\n" + "\n".join(inner) + f"{rim}\n"


def _is_worth_it(member: Declaration) -> bool:
    return "operator==" not in member.code and not member.code.startswith("friend ")


def _directive(declaration: Declaration) -> tuple[str, str]:
    """Choose how Sphinx describes it; empty where it cannot read the declaration."""
    directive, signature = _signature(declaration)
    kind = {"var": "member", "struct": "class", "enum-class": "enum"}.get(directive, directive)
    try:
        parser = DefinitionParser(signature, location=None, config=_Config)
        parser.parse_declaration(kind, kind)
        parser.assert_end()
    except (DefinitionError, SphinxError):
        return "", ""
    return directive, signature


def _signature(declaration: Declaration) -> tuple[str, str]:
    written = declaration.code
    if declaration.kind in ("struct", "class"):  # the last of these words: others are a template's
        return declaration.kind, re.sub(r"\b(struct|class) (?!.*\b(struct|class) )", "", written)
    if declaration.kind == "enum":
        directive = "enum-class" if "enum class" in written else "enum"
        return directive, re.sub(r"\benum( class)? ", "", written)
    if re.match(r"(template <.*> )?using ", written):
        return "type", written.replace("using ", "", 1)
    if declaration.kind == "function":
        bare = re.sub(r"\s*=\s*default$", "", written)
        return "function", re.sub(r"^((?:explicit )?[A-Z]\w*\([^()]*\))\s*:.*$", r"\1", bare)
    return "var", written


class _Config:
    """What Sphinx's reader of declarations asks of the settings."""

    cpp_id_attributes: tuple[str, ...] = ()
    cpp_paren_attributes: tuple[str, ...] = ()
