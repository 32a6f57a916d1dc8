"""Who competes in the demo, for which clubs, and where. Everybody and everything here is invented."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.demo.events import LIFTER, MEMBERS, ferry_stairs, harbour_relay, rising_bar
from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Assignment, Athlete, Club, ClubColour, Competition, Division, Entry, Event, Heat
from app.rules.values.units import Load
from app.rules.workout.openers import Opener
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import LanePlates, PlateSet
from app.rules.workout.safety import Safety

LANES = 6
GO_ON = 6  # of each division after the first event: as many as a heat has lanes
LIST, BAR, RELAY = "evt_stairs", "evt_bar", "evt_relay"
DIVISIONS = (("div_women", "Women, threes"), ("div_men", "Men, threes"), ("div_mixed", "Mixed works teams"))
CLUBS: tuple[tuple[str, ClubColour], ...] = (
    ("Ropewalk", "yellow"),
    ("Brickfield & Sons", "red"),
    ("Fjærehallen", "teal"),
    ("Клуб «Причал»", "blue"),
    ("Studio Basalt", "grey"),
    ("Λιμάνι", "violet"),
)


@dataclass(frozen=True, slots=True)
class Team:
    """Three athletes of one club; `strength`: 1 is usual, more is faster and heavier."""

    name: str
    club: int
    strength: float
    members: tuple[str, str, str]


# By division. The first six of each go on after the list: they are the stronger ones, which the demo's start does not rely on.
TEAMS: tuple[tuple[Team, ...], ...] = (
    (
        Team("Gannet Nine", 0, 1.16, ("Maren Tollkvist", "Ysolde Brack", "Pia Underlund")),
        Team("Spätschicht", 1, 1.04, ("Jorun Ackerblüth", "Tilde Mößgang", "Anke Rohrwasser")),
        Team("Μέδουσες", 5, 1.1, ("Δάφνη Ακρολίμνη", "Ίρις Πετρολάδη-Λυγού", "Φλώρα Αλμυρού")),
        Team("The Quite Unreasonably Punctual Ferrywomen", 4, 0.98, ("Oona Sedgemire", "Wil Carrow-Fenstanton", "Bet Larkrise")),
        Team("Искра и пар", 3, 1.07, ("Вера Снегоходова", "Лада Причальная", "Зоя Маякина")),
        Team("Ox", 0, 1.11, ("Abla Wendover", "Sade Okunbor", "Lin Harrowgate")),
        Team("Fél Nyolc", 2, 0.9, ("Réka Tűzkövi", "Zsófia Őszhegyi", "Ilka Sárfüves")),
        Team("Tea at Four", 1, 0.86, ("Nell Hathergood", "Juno Prycewell", "Cass Ormeside")),
    ),
    (
        Team("Kolme Kiveä", 2, 1.13, ("Aarni Suovala", "Veikko Järvenselkä", "Ossi Rautapää")),
        Team("Bollards", 1, 1.01, ("Idris Quaye-Thornby", "Jed Mullionworth", "Kit Sparrowdale")),
        Team("夜明けの三人", 4, 1.09, ("灯野 湊", "汐見沢 岳", "堀越川 樹")),
        Team("Nordlys Åtte", 2, 1.06, ("Sjur Øvrebrygge", "Halvar Tjærenes", "Eskil Brattholmvik")),
        Team("Mostly Knees", 0, 0.97, ("Tam Elderbeck", "Rufus Pennycroft", "Olu Stannard-Bey")),
        Team("Τρεις κι ο Κούκος", 5, 1.11, ("Λευτέρης Καραβόλιας", "Μάνος Βραχίδης", "Ηλίας Αρμυρός")),
        Team("The Understudies", 4, 0.89, ("Gus Whitlow", "Piotr Zażółcki", "Dewi Llanfawr")),
        Team("Half a Ladder", 3, 0.87, ("Тимур Волнорезов", "Глеб Шпангоутов", "Яков Тросов")),
    ),
    (
        Team("Accounts Payable", 1, 1.08, ("Femi Drayholt", "Carla Moss-Iversen", "Bram Tiddeswell")),
        Team("Brass & Sawdust", 0, 1.12, ("Lotta Fernhagen", "Cosmo Birdwhistle", "Anouk Séverac-Daly")),
        Team("Ночная смена", 3, 1.03, ("Фёдор Якорев", "Майя Туманова-Лиман", "Степан Кнехтов")),
        Team("Lighthouse Keepers' Annual General Meeting", 4, 0.99, ("Hob Wrayburn", "Ida Coldstrand", "Teo Vellacroce")),
        Team("ثلاث أمواج", 5, 1.05, ("سامر المنارة", "ليان البحيري", "نور الميناوي")),
        Team("Uit", 2, 1.1, ("Sanne Duinrand", "Joost van der Kade-Molen", "Britt Zeegras")),
        Team("Warehouse Four", 1, 0.91, ("Ravi Underhay", "Moll Costigane", "Ben Threlfall-Nkemi")),
        Team("Sunday Drivers", 0, 0.88, ("Fay Orrinside", "Ulf Tannberger", "Cleo Marchbank")),
    ),
)
USUAL_KG = {"women": 52, "men": 84, "mixed": 66}
STRENGTHS = {
    f"ent_{key[4:]}_{n}": team.strength
    for (key, _), teams in zip(DIVISIONS, TEAMS, strict=True)
    for n, team in enumerate(teams, 1)
}
# Invented like the rest, the number too: no telephone network has it.
SAFETY = Safety(
    aed="In the corridor behind lane 6, yellow cabinet under the clock",
    aed_route="From any lane to the clock wall, then left; the corridor stays empty",
    emergency="000 (invented: a real hall puts its own here)",
    medic="Noor Fennick, green vest by lane 1, radio channel 3",
    first_aid="Room 2, beside the desk",
)


def demo_file(planned: Sequence[str]) -> CompetitionFile:
    """The competition before its first GO: three divisions, three events, the four heats of the first event at the first four of
    the times (HH:MM). Who goes on to the other two is seen when it has been judged."""
    entries = tuple(_entry(division, team) for division in range(len(TEAMS)) for team in range(len(TEAMS[division])))
    return CompetitionFile(
        competition=Competition(
            id="cmp_demo",
            name="The Tidemill Threes",
            place="Tidemill Hall",
            unit="kg",
            demo=True,
            safety=SAFETY,
            protest_minutes=15,
            appeal_minutes=5,
        ),
        divisions=tuple(Division(id=key, name=name) for key, name in DIVISIONS),
        clubs=tuple(Club(id=f"clb_{n}", name=name, colour=colour) for n, (name, colour) in enumerate(CLUBS)),
        athletes=tuple(
            Athlete(id=member, name=name, club=f"clb_{team.club}")
            for entry, team in zip(entries, _teams(), strict=True)
            for member, name in zip(entry.members, team.members, strict=True)
        ),
        entries=entries,
        events=(
            Event(id=LIST, name="Ferry stairs", format=ferry_stairs(), variants={"div_women": "lighter"}),
            Event(id=BAR, name="Rising bar", format=rising_bar(), variants={"div_women": "light_bar"}),
            Event(id=RELAY, name="Harbour relay", format=harbour_relay()),
        ),
        heats=_list_heats(entries, planned),
        overall=OverallRule(by="table", points=(40, 34, 29, 25, 22, 20, 12, 10), absent="none", named=LIST),
        plate_sets=_plates(),
        lane_plates=tuple(LanePlates(lane=n, plates="pls_discs" if n == LANES else "pls_hall") for n in range(1, LANES + 1)),
        openers=tuple(_opener(entry) for entry in entries),
    )


def _teams() -> list[Team]:
    return [team for teams in TEAMS for team in teams]


def _entry(division: int, team: int) -> Entry:
    key = f"{DIVISIONS[division][0][4:]}_{team + 1}"
    members = tuple(f"ath_{key}_{letter}" for letter in "abc"[:MEMBERS])
    return Entry(id=f"ent_{key}", division=DIVISIONS[division][0], name=TEAMS[division][team].name, members=members)


def _list_heats(entries: Sequence[Entry], planned: Sequence[str]) -> tuple[Heat, ...]:
    """Everybody in the order of entries, as many to a heat as there are lanes."""
    groups = [entries[first : first + LANES] for first in range(0, len(entries), LANES)]
    return tuple(heat_of(LIST, n, time, group) for n, (time, group) in enumerate(zip(planned, groups, strict=False), start=1))


def heat_of(event: str, number: int, planned: str, entries: Sequence[Entry]) -> Heat:
    """A heat with these entries on its lanes, from lane 1."""
    key = f"{event[4:]}_{number}"
    lanes = tuple(Assignment(id=f"asg_{key}_{lane}", lane=lane, entry=entry.id) for lane, entry in enumerate(entries, start=1))
    return Heat(id=f"het_{key}", event=event, number=number, planned=planned, lanes=lanes)


def strength_of(entry: str) -> float:
    """How strong an entry is: 1 is usual, and is what anybody else is who was entered since."""
    return STRENGTHS.get(entry, 1.0)


def opener_kg(entry: str, member: int) -> int:
    """What a member means to begin with at the bar, in whole kilograms."""
    usual = next((kg for division, kg in USUAL_KG.items() if f"_{division}_" in entry), USUAL_KG["mixed"])
    return round(usual * strength_of(entry) + (member * 7 + len(entry)) % 5 * 2)


def _opener(entry: Entry) -> Opener:
    load = opener_kg(entry.id, LIFTER)
    return Opener(
        event=BAR, task="bar", entry=entry.id, member=LIFTER, load=Load(str(load), "kg"), then=(Load(str(load + 4), "kg"),)
    )


def _plates() -> tuple[PlateSet, ...]:
    sets = set_to_begin("gym-kg", "pls_hall", "Hall plates"), set_to_begin("weightlifting", "pls_discs", "Coloured discs")
    return tuple(one for one in sets if one is not None)
