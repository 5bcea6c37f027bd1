"""Where each number comes from: one key per source, and how that source was read.

`SOURCES.md` is the readable twin; a test keeps the two in step. A key is the authors' letters and the year (`E75`), or
a short word where there is no author. `how_read` says how far a number may be trusted as a quotation:

read       read in the source itself (text, abstract, regulation, data set, manual)
read-2nd   read in a second text that quotes or reproduces the first
lib        computed from the stated formula, and compared with a general-purpose library
fit        a regression made for this project on an open data set that was read
memory     recalled from the literature, not read: verify before relying on it
judgement  no source; chosen from the marked values around it, or common practice
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

HowRead = Literal["read", "read-2nd", "lib", "fit", "memory", "judgement"]
HOW_READ: tuple[str, ...] = get_args(HowRead)


@dataclass(frozen=True, slots=True)
class Source:
    """One source. `doi` is empty where none is known to us."""

    key: str
    citation: str
    how_read: HowRead
    doi: str = ""


_ALL = (
    # Water chemistry
    Source(
        "E75",
        "Emerson, Russo, Lund & Thurston 1975, J. Fish. Res. Board Can. 32:2379-2383",
        "read-2nd",
        "10.1139/f75-274",
    ),
    Source(
        "T72",
        "Trussell 1972, J. Fish. Res. Board Can. 29:1505-1507, as printed in test-kit manuals",
        "read-2nd",
        "10.1139/f72-236",
    ),
    Source("H96", "Hobiger 1996, Umweltbundesamt UBA-BE-076, through a public ammonia calculator", "read-2nd"),
    Source(
        "CW95", "Clegg & Whitfield 1995, Geochim. Cosmochim. Acta 59:2403-2421", "read", "10.1016/0016-7037(95)00135-2"
    ),
    Source(
        "BELL07",
        "Bell et al. 2007, Environ. Chem. 4:183-186 (an earlier seawater constant overstates NH3 up to five times)",
        "read",
    ),
    Source("BB78", "Bower & Bidwell 1978, J. Fish. Res. Board Can. 35:1012-1016", "read-2nd", "10.1139/f78-165"),
    Source("WQ", "R package wq, help page of ammFrac (worked values after Clegg & Whitfield)", "read"),
    Source("PYCO2SYS", "PyCO2SYS 1.8.3.4, ammonia constant of Clegg & Whitfield, free scale", "lib"),
    Source(
        "EPA13", "US EPA 2013, Aquatic life ambient water quality criteria for ammonia, EPA 822-R-13-001", "read-2nd"
    ),
    Source("OR30", "Oregon water quality tables 30A, 30B, 30C (ammonia), as encoded in a test file", "read"),
    Source("IUPAC", "Standard atomic masses: N 14.007, H 1.008, O 15.999, Ca 40.078, C 12.011", "lib"),
    Source(
        "BK84", "Benson & Krause 1984, Limnol. Oceanogr. 29:620-632; APHA 4500-O", "read", "10.4319/lo.1984.29.3.0620"
    ),
    Source("APHA", "APHA Standard Methods 4500-O (oxygen at other air pressures)", "memory"),
    Source(
        "DOKIT", "Field-kit manual of a colorimeter, p. 16: printed table of dissolved oxygen at saturation", "read"
    ),
    Source("ISO2533", "Standard atmosphere (ISO 2533:1975)", "memory"),
    Source("GSW", "gsw 3.6.23, O2sol", "lib"),
    # Nitrogen, feed and turtles
    Source("TE", "Timmons & Ebeling, Recirculating Aquaculture (factor chain 0.092)", "read-2nd"),
    Source("LYH05", "Lei, Ye & Hu 2005, Acta Hydrobiol. Sin. 29(1):43-49 (Pelodiscus; decimals restored)", "read"),
    Source("JN08", "Jing & Niu 2008, J. World Aquac. Soc. (Pelodiscus, 97 days in 11 to 97 mg/L TAN)", "read"),
    Source("IP12", "Ip et al. 2012, J. Exp. Biol. 215:3723 (urea through the mouth lining)", "read"),
    Source("BBJ06", "Bouchard & Bjorndal 2006, Physiol. Biochem. Zool. 79:150", "read"),
    Source("P81", "Parmenter 1981, Comp. Biochem. Physiol. 70A:235 (gut passage)", "read"),
    Source("RAWSKI18", "Rawski et al. 2018, Ann. Anim. Sci. 18:17-37; Wang et al. 2014, Aquaculture 433:252", "read"),
    Source("SR26", "USDA National Nutrient Database for Standard Reference, release 26 (public domain)", "read"),
    Source("F02", "Finke 2002, Zoo Biol. 21:269-285 (invertebrates)", "read-2nd", "10.1002/zoo.10031"),
    Source("BOGUT07", "Bogut et al. 2007 (Chironomus plumosus)", "read-2nd"),
    Source("KRILL70", "J. Sci. Food Agric. 1970, abstract on whole krill", "read"),
    Source("SP87", "Strange & Pelton 1987 (nutrient content of forage fishes)", "read-2nd"),
    Source("B74", "Boyd 1974 (aquatic plants), and an FAO compilation", "read-2nd"),
    Source("LSB95", "Leng, Stambolie & Bell 1995 (duckweed)", "read"),
    Source("FEEDSTD", "Published trial diet and national feed standards for pond and trout feeds", "read"),
    # Nitrification and media
    Source("GJ74", "Gujer & Jenkins 1974 (oxygen per g nitrogen, with growth)", "read-2nd"),
    Source(
        "ETB06",
        "Ebeling, Timmons & Bisogni 2006, Aquaculture 257:346-358",
        "memory",
        "10.1016/j.aquaculture.2006.03.019",
    ),
    Source("EPA75", "US EPA 1975, Process Design Manual for Nitrogen Control", "read-2nd"),
    Source("ZC02", "Zhu & Chen 2002, Aquac. Eng. 26:221-237 (temperature and nitrification)", "read"),
    Source("H14", "Hoang et al. 2014, Water Res. 49:215 (moving bed at 1 degC)", "read"),
    Source("HOA11", "Harwanto et al. 2011, Fish. Aquat. Sci. 14:363 (three media at one load)", "read"),
    Source(
        "MBC06",
        "Malone, Bergeron & Cristina 2006, Aquac. Eng. 34:214; Malone & Pfeiffer 2006, 34:389 (form only)",
        "read",
    ),
    Source("MICROBEAD", "Microbead filter design figures, Timmons et al. 2006, and the bead data sheet", "read"),
    Source("FAO589", "FAO Fisheries and Aquaculture Technical Paper 589 (media table)", "memory"),
    Source("KEEPERS", "Keeper and pond guides (public pages), as a group", "read-2nd"),
    # Solids and sludge
    Source("CB00", "Cripps & Bergheim 2000, Aquac. Eng. 22:33-56", "read"),
    Source("GEB04", "Gebauer 2004, Bioresour. Technol. 93:155 (farm sludge)", "read"),
    Source("SH09", "Sharrer et al. 2009 through van Rijn 2013 (thickened sludge)", "read-2nd"),
    Source("NHUT19", "Nhut et al. 2019, Aquac. Eng. 87:102020 (digestible share of catfish sludge)", "read"),
    Source("WST57", "Water Sci. Technol. 57:721 (endogenous products in long digestion)", "read"),
    Source("LG15", "Letelier-Gordo et al. 2015, Aquac. Eng. 66:22 (hydrolysis of trout faeces)", "read"),
    Source(
        "SOLIDS",
        "World Aquaculture Society, meeting abstract 165932: solids per kg feed, densities, settling speeds",
        "read",
    ),
    Source("GRAY95", "Gray 1995, Environ. Technol. 16:795-800 (28 septic tanks)", "read"),
    Source("EPR22", "Irish field study of 27 septic tanks, J. Environ. Manage. 2022", "read"),
    Source(
        "VDH",
        "Virginia Department of Health, guidance on septic sludge: pump at 30 %, straight line since emptying",
        "read",
    ),
    Source("LITTER", "Forest litterfall about 2.1 US tons per acre and year (extension page)", "read-2nd"),
    # Hydraulics and settling
    Source("S51", "Stokes 1851 (settling of small spheres)", "memory"),
    Source("SN33", "Schiller & Naumann 1933 (drag on a sphere)", "memory"),
    Source("B14", "Barati, Neyshabouri & Ahmadi 2014, Powder Technol. 257:11-19 (drag on a sphere)", "read-2nd"),
    Source("ERG52", "Ergun 1952, Chem. Eng. Prog. 48:89-94", "memory"),
    Source("COL39", "Colebrook 1939, J. Inst. Civ. Eng. 11:133-156", "memory"),
    Source("HW", "Williams & Hazen 1905 (pipe friction, C factor)", "memory"),
    Source("FLUIDS", "fluids 1.3.1 (v_terminal, dP_Ergun, friction_factor, ATMOSPHERE_1976)", "lib"),
    Source("IAPWS", "IAPWS density and viscosity of water through chemicals 1.5.2", "lib"),
    Source(
        "TANAKA01", "Tanaka et al. 2001, Metrologia 38:301-309 (density of water)", "memory", "10.1088/0026-1394/38/4/3"
    ),
    Source("VOGEL", "Vogel equation for the viscosity of water, usual constants", "memory"),
    # Space, growth, incubation
    Source("DE97", "German expert report on minimum requirements for reptiles, 10 January 1997", "read-2nd"),
    Source("EU10", "Directive 2010/63/EU, Annex III, table 10.1", "read"),
    Source(
        "NSW13",
        "New South Wales code for private reptile keeping, OEH 2013, as applied to snake-necked turtles",
        "read",
    ),
    Source("POUGH80", "Pough 1980, Am. Nat. 115:92-112 (mass from length, turtles)", "read-2nd", "10.1086/283547"),
    Source("SARNAT81", "Sarnat et al. 1981, Anat. Rec. (slider growth)", "read"),
    Source("HARDEN21", "Harden et al. 2021, J. Herpetol. 55(4) (Malaclemys growth)", "read"),
    Source(
        "ROSIE",
        "ROSIE database of reptilian offspring sex and incubation environment, CC BY 4.0",
        "fit",
        "10.5281/zenodo.4670573",
    ),
    # Cautions
    Source("NIOSH", "NIOSH Pocket Guide and OSHA 1910.1000 (hydrogen sulphide)", "read-2nd"),
    # No source
    Source("PRACTICE", "Common practice of the trade, no source", "judgement"),
    Source("JUDGEMENT", "Judgement of this project, from the marked values around it", "judgement"),
)

SOURCES: dict[str, Source] = {source.key: source for source in _ALL}
