"""Where in a TOML file a value stands, by its path.

The TOML reader gives values without their lines. This finds them again in a syntax tree, only when
there is something to complain about. Headers are listed once; what is under them is looked through
only where a path leads.
"""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node, Tree

Path = tuple[str | int, ...]
"""Keys, and indexes from 0 in arrays: `("window", 0, "overhang", "depth")`."""

_HEADERS = ("table", "table_array_element")
_KEYS = ("bare_key", "quoted_key")

MOST_VISITED = 100_000
"""So many members of tables and arrays are looked at for one file, so that a huge one takes no
longer; what stands beyond is given the place of what is around it."""

_Pair = tuple[tuple[str, ...], "Node", "Node"]  # the key's parts, the key, the value


class TomlPlaces:
    """The lines and columns of what a TOML text holds.

    For a text that is no valid TOML, or if the parser cannot be loaded, nothing is found.
    """

    def __init__(self, text: str) -> None:
        self._source = text.encode("utf-8")
        self._lines = self._source.split(b"\n")
        self._visits_left = MOST_VISITED
        self._members: dict[int, list[Node]] = {}
        self._pairs: dict[int, list[_Pair]] = {}
        self._tables: dict[Path, list[Node]] = {}
        self._tree = _parsed(self._source)
        if self._tree is not None:
            self._list_headers(self._tree.root_node)

    def find(self, path: Path, *, key: bool = False) -> tuple[int, int] | None:
        """Line and column, both from 1, of the value at the path, or with `key` of its key.

        Of a table it is the header. If the very path is not in the text, the nearest thing around
        it is taken; None if there is not even that.
        """
        for length in range(len(path), 0, -1):
            node = self._node(path[:length], key)
            if node is not None:
                row, column = node.start_point
                before = self._lines[row][:column]  # the tree counts bytes, people count letters
                return row + 1, len(before.decode("utf-8", "replace")) + 1
        return None

    def span(self, path: Path, *, key: bool = False) -> tuple[int, int] | None:
        """First byte, and the one after the last, of the very value at the path, or of its key.

        Of a table it is all of it, from its header to its last key. None if it is not in the text.
        """
        node = self._node(path, key)
        return None if node is None else (node.start_byte, node.end_byte)

    def table_spans(self, path: Path) -> list[tuple[int, int]]:
        """`span` of a table that has a header, and of each header's table below it; in no order.

        A table ends where its last value does: comments below that are not of it.
        """
        spans = set()
        for table_path, nodes in self._tables.items():
            if table_path[: len(path)] == path and path:
                for node in nodes:
                    ends = [pair.end_byte for pair in node.children if pair.type == "pair"]
                    head = node.children[-1 if not ends else 0]
                    brackets = [
                        child.end_byte for child in node.children if child.type in ("]", "]]")
                    ]
                    spans.add((node.start_byte, max([*ends, *brackets, head.end_byte])))
        return list(spans)

    def _list_headers(self, root: Node) -> None:
        """Note each header under its path; the text before the first header has the path ()."""
        counts: dict[Path, int] = {}
        self._tables[()] = [root]
        # Members of the root are all the tables too: its own pairs end at the first header.
        nodes = root.children
        first = next((i for i, node in enumerate(nodes) if node.type in _HEADERS), len(nodes))
        self._members[root.id] = nodes[: min(first, MOST_VISITED)]
        for node in nodes[first : first + MOST_VISITED]:
            if node.type not in _HEADERS:
                continue
            path: Path = ()
            *parents, last = _key_parts(node.named_children[0])
            for part in parents:
                path = (*path, part)
                if path in counts:  # a header under an array of tables is of its last table
                    path = (*path, counts[path] - 1)
            path = (*path, last)
            if node.type == "table_array_element":
                counts[path] = counts.get(path, 0) + 1
                if counts[path] == 1:
                    self._tables.setdefault(path, []).append(node)
                path = (*path, counts[path] - 1)
            self._tables.setdefault(path, []).append(node)

    def _node(self, path: Path, key: bool) -> Node | None:
        if path in self._tables:
            return self._tables[path][0]
        for length in range(len(path) - 1, -1, -1):
            for table in self._tables.get(path[:length], ()):
                node = self._in_pairs(table, path[length:], key)
                if node is not None:
                    return node
        return None

    def _in_pairs(self, table: Node, path: Path, key: bool) -> Node | None:
        """The node of a path that starts with a key of this table."""
        for parts, key_node, value in self._pairs_of(table):
            shared = min(len(parts), len(path))
            if parts[:shared] != path[:shared]:
                continue
            if len(parts) >= len(path):
                return key_node if key or len(parts) > len(path) else value
            node = self._in_value(value, path[len(parts) :], key)
            if node is not None:
                return node
        return None

    def _in_value(self, value: Node, path: Path, key: bool) -> Node | None:
        """The node of a path inside an array or an inline table."""
        first, inner = path[0], path[1:]
        if value.type == "inline_table":
            return self._in_pairs(value, path, key)
        if value.type == "array" and isinstance(first, int):
            members = [
                child
                for child in self._members_of(value)
                if child.is_named and child.type != "comment"
            ]
            if first < len(members):
                return self._in_value(members[first], inner, key) if inner else members[first]
        return None

    def _pairs_of(self, table: Node) -> list[_Pair]:
        """Each `key = value` directly in a table."""
        if table.id not in self._pairs:
            self._pairs[table.id] = [
                (tuple(_key_parts(children[0])), children[0], children[1])
                for child in self._members_of(table)
                if child.type == "pair" and len(children := child.named_children) >= 2
            ]
        return self._pairs[table.id]

    def _members_of(self, node: Node) -> list[Node]:
        """What is directly in a table or array; nothing once enough has been looked at."""
        if node.id not in self._members:
            count = node.child_count
            within = count <= self._visits_left
            self._visits_left -= count if within else 0
            self._members[node.id] = node.children if within else []
        return self._members[node.id]


def _parsed(source: bytes) -> Tree | None:
    try:
        import tree_sitter_toml
        from tree_sitter import Language, Parser

        return Parser(Language(tree_sitter_toml.language())).parse(source)
    except (ImportError, OSError, ValueError, TypeError):
        # A grammar that this parser cannot load: messages do without lines.
        return None


def _key_parts(node: Node) -> list[str]:
    """`a."b c"` as its parts; the tree nests a dotted key to the left, as deep as it is long."""
    parts: list[str] = []
    while node.type not in _KEYS:
        node, last = node.named_children[0], node.named_children[-1]
        parts.append(_key_text(last))
    parts.append(_key_text(node))
    return parts[::-1]


def _key_text(node: Node) -> str:
    text = (node.text or b"").decode("utf-8")
    # A quoted key is written as a string is.
    return text if node.type == "bare_key" else str(tomllib.loads(f"key = {text}")["key"])
