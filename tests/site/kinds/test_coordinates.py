"""Places as people have them. The same place in every form is the same numbers."""

import pytest
from site_texts import edited

from suncover.site.file.sitefile import site_from_text
from suncover.site.kinds.coordinates import parse_coordinate, parse_place, place_text

PORTO_ALEGRE = (-30.03, -51.22)  # 30° 1' 48" S, 51° 13' 12" W: 0.03° = 1.8', 0.22° = 13.2'
FORMS = """
-30.03, -51.22
−30.03 −51.22
-30.03; -51.22
-30.03/-51.22
-30.03°, -51.22°
30.03 S, 51.22 W
30.03S51.22W
S 30.03, W 51.22
51.22 W, 30.03 S
30,03 S, 51,22 W
-30,03; -51,22
30.03 south 51.22 west
Lat 30.03 S Lon 51.22 W
30°01'48"S 51°13'12"W
30° 1′ 48″ S, 51º 13’ 12” W
30˚1.8' S 51˚13.2' W
S30°01'48'' W51°13'12''
30 01 48 S 51 13 12 W
30 deg 1 min 48 sec S, 51 deg 13 min 12 sec W
geo:-30.03,-51.22
GEO:-30.03,-51.22,10;crs=wgs84;u=40
"""


@pytest.mark.parametrize("text", FORMS.strip().splitlines())
def test_one_place_in_many_forms(text):
    assert parse_place(text) == pytest.approx(PORTO_ALEGRE, abs=1e-12)


def test_geo_uris_of_the_rfc():
    """The examples of RFC 5870, sections 1 and 6."""
    for uri, place in (
        ("geo:13.4125,103.8667", (13.4125, 103.8667)),
        ("geo:48.2010,16.3695,183", (48.2010, 16.3695)),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", (48.198634, 16.371648)),
        ("geo:90,-22.43;crs=WGS84", (90.0, -22.43)),
        ("geo:66,30;u=6.500;FOo=this%2dthat", (66.0, 30.0)),
    ):
        assert parse_place(uri) == place


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "write latitude and longitude"),
        ("here", "write latitude and longitude"),
        ("47", "write latitude and longitude"),
        ("91, 0", "latitude 91 is not between"),
        ("1 2 3 4", "write latitude and longitude"),
        ("1, 2, 3", "write latitude and longitude"),
        ("47 N by 8 W", "write latitude and longitude"),
        ("47 N, -", "write latitude and longitude"),
        ("; 47 N 8 E", "write latitude and longitude"),
        ("30.03 S, 51.22 S", "both numbers are called latitude"),
        ("-30 S, 51 W", "a minus and a letter say it twice"),
        ("30°75' S, 51 W", "below 60"),
        ("30.5° 5' S, 51 W", "only the last"),
        ("5 N, 30.5 O", "O is east in some languages and west in others"),
        ("91 N, 8 E", "latitude 91 is not between"),
        ("8 N, 181 E", "longitude 181 is not between"),
        ("geo:1,2;crs=nad27", "nad27"),
        ("geo:somewhere", "geo:47.38,8.54"),
        ("8" * 300, "write latitude and longitude"),
    ],
)
def test_what_is_no_place(text, sentence):
    with pytest.raises(ValueError, match=sentence):
        parse_place(text)


def test_the_site_file_takes_each_with_its_letter_and_words_lead_back():
    text = edited("36.10", '"30.03 S"').replace("-79.95", '"51°13\'12\\" W"')
    place = site_from_text(text).place
    assert (place.latitude, place.longitude) == pytest.approx(PORTO_ALEGRE, abs=1e-12)
    for wrong, told in (("30.03", "needs a letter, N or S"), ("8 N 9 E", "write latitude in degr")):
        with pytest.raises(ValueError, match=told):
            parse_coordinate(wrong, "latitude")
    assert place_text(*PORTO_ALEGRE) == "30.03° south, 51.22° west"
    assert parse_place(place_text(*PORTO_ALEGRE)) == PORTO_ALEGRE
