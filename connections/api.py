"""The library in one module: read a site, decide it, check it, calculate its year, print its pack.

Everything is a pure function of its arguments but `pdf` and `svg`, which need the extra `pdf`;
`year` needs the extra `energy`. No Django settings are needed. Types are frozen; amounts inside
are whole and in the unit that their name ends with (`rated_w`, `limit_ma`). The rulebook's sources
and certainties come with each decision; the sources of a check and of a year stand in their
results.
"""

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

from connections.assessing import Assessor, pack_of
from connections.energy.energy_errors import EnergyError
from connections.energy.load import household_load
from connections.energy.options import Options, Prices, Window
from connections.energy.result import EnergyYear
from connections.facts.decision import Decision, Remedy
from connections.facts.reading import read_site, write_site
from connections.facts.site import Site
from connections.facts.site_file_error import SiteFileError
from connections.pack.content import Pack
from connections.pack.pack_error import PackError
from connections.plots.chart import Line, Plot, line_plot
from connections.rulebook.rulebook_errors import RulebookError
from connections.rules.checks.basis.types import Check

__all__ = [
    "Check",
    "Decision",
    "EnergyError",
    "EnergyYear",
    "Line",
    "Options",
    "Pack",
    "PackError",
    "Plot",
    "Prices",
    "Remedy",
    "RulebookError",
    "Rules",
    "Site",
    "SiteFileError",
    "Window",
    "line_plot",
    "pdf",
    "read_site",
    "svg",
    "write_site",
    "year",
]


class Rules:
    """The rules that sites are decided under; make it once for many sites.

    Args:
        on: a date for all sites, in place of their own `on_date`.
        area: a licence area such as "gb-12", in place of the site's own or its supply number's.
        local: TOML files of the firm's local entries.

    Raises RulebookError for an unknown area or a file that doesn't load. Source: the shipped
    editions; every value names its document, clause and certainty.
    """

    def __init__(
        self, *, on: dt.date | None = None, area: str | None = None, local: Sequence[Path] = ()
    ) -> None:
        self._assessor = Assessor(on=on, area=area, local=local)

    def read(self, raw: bytes | str) -> Site:
        """Read a site file (site/1, JSON). Raises SiteFileError with the path of its first fault.

        `read_site` does the same without the date of these rules.
        """
        return self._assessor.site(raw)

    def decide(
        self, site: Site, *, remedies: bool = False, checks: bool = True, explain: bool = False
    ) -> Decision:
        """Decide a site: procedure, steps, sums on each phase, findings, in words (decision/1).

        `remedies` adds what would help, `explain` trace and derivation. Without `checks` the
        electrical checks are left out, which takes a tenth of the time. A missing fact is a
        finding, no error. Raises SiteFileError where no rulebook holds for the site.
        """
        return self._assessor.decide(
            site, remedies=remedies, checks=checks, explain=explain
        ).decision

    def remedies(self, site: Site) -> tuple[Remedy, ...]:
        """The changes that would help, best first, each proved by deciding again.

        Empty where facts are missing. Raises as `decide`.
        """
        found = self.decide(site, remedies=True, checks=False).remedies
        return found if isinstance(found, tuple) else ()

    def checks(self, site: Site) -> tuple[Check, ...]:
        """The electrical checks: each with value, limit, unit, result, inputs, workings, sources.

        `result` is "within", "over" or another word of its type; `needs` names missing facts.
        Raises as `decide`.
        """
        from connections.rules.engineering import checks_of

        return checks_of(self._assessor.decide(site, checks=False).decided)

    def pack(self, site: Site) -> Pack:
        """The frozen pack of a site, marked "not issued"; the same site gives an equal pack.

        Raises SiteFileError as `decide`, and PackError.
        """
        return pack_of(self._assessor, site)


def year(
    site: Site, *, region: int, yearly_use_kwh: int, options: Options | None = None
) -> EnergyYear:
    """The energy of a typical year of the site's design [kWh], with a low and a high case.

    `region` is a number of `connections.energy.weather.regions.regions`. Raises EnergyError where
    a fact is missing or an input impossible. Method and sources stand in `method` of the result.
    """
    from connections.energy.from_site import plant_of
    from connections.energy.weather.regions import region as region_of
    from connections.energy.weather.sunshine import typical_sun
    from connections.energy.year import energy_year

    found = plant_of(site)
    if found.plant is None:
        raise EnergyError(" ".join(found.needs))
    return energy_year(
        found.plant, typical_sun(region_of(region)), household_load(yearly_use_kwh), options
    )


def pdf(pack: Pack) -> bytes:
    """The pack as tagged PDF/A-3a, its content embedded; equal packs print equal bytes.

    Takes 1 to 4 s. Raises PrintError (`connections.documents.print_error`) where a library, a font
    or the extra `pdf` is missing.
    """
    from connections.documents.render import render

    return render(pack)


def svg(plot: Plot) -> str:
    """A plot as an SVG document. Raises PrintError where the extra `pdf` is missing."""
    from connections.documents.templating import filled

    return filled("plots/plot.svg", {"plot": plot, "prefix": "plot"})
