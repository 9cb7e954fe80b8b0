"""The faces measure text, and say what they cannot set."""

import pytest

from stavebound.faces import Faces, families, font_face_css, load_faces

FACES = load_faces()
STYLES = [(face.style, face.weight) for face in FACES.faces]
EVERY_FACE = [
    (name, row.style, row.weight) for name, each in families().items() for row in each.face
]


def test_every_family_has_the_same_styles_and_weights() -> None:
    assert len(families()) > 1
    for family in families().values():
        assert [(row.style, row.weight) for row in family.face] == STYLES
        assert family.licence


@pytest.mark.parametrize(("family", "style", "weight"), EVERY_FACE)
def test_each_face_stands_on_the_disk_with_sane_proportions(
    family: str, style: str, weight: int
) -> None:
    face = load_faces(family).face(style, weight)
    assert face.path.read_bytes()[:4] == b"\x00\x01\x00\x00"
    assert 0.3 < face.x_height < min(face.figure_height, face.cap_height)
    assert max(face.figure_height, face.cap_height) < face.ascent < 1.2
    assert 0.1 < face.descent < 0.5


def test_width_is_the_sum_of_advances_at_any_size() -> None:
    one = FACES.width("A", 1)
    assert FACES.width("AAA", 12) == pytest.approx(36 * one)
    assert FACES.width("demi-plié", 10) == pytest.approx(
        sum(FACES.width(char, 10) for char in "demi-plié")
    )
    assert FACES.width("", 10) == 0


def test_styles_and_weights_run_differently() -> None:
    widths = {FACES.width("Handgelenk", 10, style, weight) for style, weight in STYLES}
    assert len(widths) == len(STYLES)


def test_heights_scale_with_the_size() -> None:
    for height in (
        FACES.ascent,
        FACES.descent,
        FACES.cap_height,
        FACES.x_height,
        FACES.figure_height,
    ):
        assert height(20) == pytest.approx(2 * height(10))


def test_characters_without_a_glyph_are_named_once_in_order() -> None:
    assert FACES.missing("Pliés, fondus & grands battements – “œuvre” ½") == ()
    assert FACES.missing("a ♪ b ə ♪ ⅛") == ("♪", "ə", "⅛")
    with pytest.raises(ValueError, match=r"“♪” \(U\+266A\) “ə” \(U\+0259\)"):
        FACES.width("a♪ə", 10)


def test_a_face_that_the_family_lacks_is_refused() -> None:
    with pytest.raises(ValueError, match="no face of style italic and weight 500"):
        FACES.width("a", 10, "italic", 500)
    with pytest.raises(ValueError, match="no face"):
        Faces("Empty", ()).missing("a")


def test_css_names_every_face_by_its_file() -> None:
    rules = font_face_css(FACES).splitlines()
    assert len(rules) == len(STYLES)
    for rule, face in zip(rules, FACES.faces, strict=True):
        assert face.path.as_uri() in rule
        assert f"font-style: {face.style}; font-weight: {face.weight};" in rule


def test_a_face_tells_whether_it_has_small_capitals() -> None:
    assert not load_faces("Crimson Text").face().small_capitals
    assert load_faces("Spectral").face().small_capitals
