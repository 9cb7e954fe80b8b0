"""A small book with something of everything, for tests of its pages."""

from __future__ import annotations

from stavebound.book.values import Manuscript
from tests.support.manuscripts import manuscript

SCORE = """
<music metre="3/4" counts-per-bar="1" tempo="44" introduction="4">A broad &amp; slow waltz</music>
<barre hand="left"/>
<start><feet in="first"/><arms in="bras bas"/></start>
<phrase counts="8"><frame at="1" step="fondu"><knees bend="half"/></frame></phrase>
<aim>An even <term>demi-plié</term>.</aim>
<preparation>At the <term>barre</term>, <side is="left"/> hand on it.</preparation>
<quality>Slow &lt;and&gt; even.</quality><quality>Round.</quality>
<fault>Heels <emphasis>up</emphasis>; from <foreign language="fr">plier</foreign>.</fault>
<variant title="Faster">In half the time.</variant>
<caution about="springs"/>
<source by="T. Wrenfold" dated="2026"/>
"""
BOOK = """
<imprint><text>Made of A &amp; B.</text></imprint>
<preface><text>Begin at the <term>barre</term>.</text></preface>
<caution about="supervision"/><caution about="children">Small ones first.</caution>
<chapter title="At the &lt;barre&gt;">
  <text>Both hands know the <term entry="demi-plié">pliés</term>.</text>
  <exercise score="one.xml"/><exercise score="two.xml"/>
</chapter>
<chapter title="In the centre"><exercise score="three.xml"/></chapter>
<glossary>
  <entry term="Fondu">Melted.</entry>
  <entry term="élevé" language="fr" said="ay-luh-VAY">A rise. See <term>demi-plié</term>.</entry>
  <entry term="demi-plié" language="fr" said="duh-mee plee-AY">Half bend.</entry>
  <entry term="barre">A rail &amp; a friend.</entry>
</glossary>
<rights>Free to copy.</rights>
"""

NAMED = (
    'subtitle="Three &lt;slow&gt; exercises" author="T. Wrenfold" publisher="The Hill Press" '
    'shown="three.xml"'
)


def small_book() -> Manuscript:
    scores = {"one.xml": SCORE, "two.xml": SCORE, "three.xml": SCORE}
    return manuscript(BOOK, scores, NAMED)
