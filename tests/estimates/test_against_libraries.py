"""Our scalars beside general-purpose libraries. Without a library its tests skip and say so; the full check run installs them all."""

from __future__ import annotations

import warnings
from types import ModuleType

import pytest

from enclosures.estimates import ammonia, hydraulics, oxygen, settling
from enclosures.estimates.water_properties import DENSITY_25C, VISCOSITY_25C


def _library(name: str) -> ModuleType:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what a library warns about while loading is not ours
        return pytest.importorskip(name, reason=f"{name} is not installed; see tests/requirements.txt")


@pytest.mark.parametrize("salinity", [0, 2, 5, 10, 15, 20, 35])
@pytest.mark.parametrize("temp_c", [10, 15, 20, 25, 30, 35])
def test_ammonia_constant_agrees_with_pyco2sys_on_the_free_scale(temp_c: float, salinity: float) -> None:
    """Clegg & Whitfield 1995 as PyCO2SYS has it: within 0.008 in pKa (worst at 15 g/kg and 35 degC), under 2 % in the share."""
    pyco2sys = _library("PyCO2SYS")
    numpy = _library("numpy")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        result = pyco2sys.sys(salinity=salinity, temperature=temp_c, opt_pH_scale=3, total_ammonia=10)
    pka = -numpy.log10(result["k_ammonia"])
    assert ammonia.pka_ammonia_brackish(temp_c, salinity_g_kg=salinity) == pytest.approx(float(pka), abs=0.008)


@pytest.mark.parametrize("salinity", [0, 10, 35])
@pytest.mark.parametrize("temp_c", [0, 5, 10, 15, 20, 25, 30, 35])
def test_oxygen_saturation_agrees_with_gsw(temp_c: float, salinity: float) -> None:
    """GSW: a refit of the same measurements, within 0.01 mg/L."""
    gsw = _library("gsw")
    absolute = gsw.SA_from_SP(salinity, 0, 0, 0)
    conservative = gsw.CT_from_t(absolute, temp_c, 0)
    umol_per_kg = gsw.O2sol(absolute, conservative, 0, 0, 0)
    mg_l = umol_per_kg * 31.9988e-6 * gsw.rho(absolute, conservative, 0)
    assert oxygen.saturation_mg_l_BK84(temp_c, salinity_g_kg=salinity) == pytest.approx(float(mg_l), abs=0.01)


@pytest.mark.parametrize("altitude_m", [0, 250, 1000, 2500, 4000])
def test_air_pressure_agrees_with_the_standard_atmosphere(altitude_m: float) -> None:
    fluids = _library("fluids")
    atm = fluids.ATMOSPHERE_1976(altitude_m).P / 101_325
    assert oxygen.pressure_atm_from_altitude(altitude_m) == pytest.approx(atm, rel=5e-4)


@pytest.mark.parametrize("density", [1020, 1050, 1190])
@pytest.mark.parametrize("diameter_um", [50, 100, 200, 500, 1000, 2000])
def test_settling_speed_agrees_with_fluids(diameter_um: float, density: float) -> None:
    """The same drag curve; fluids passes over to plain Stokes below Reynolds 0.1, worth up to 0.5 % there."""
    fluids = _library("fluids")
    speed = fluids.v_terminal(D=diameter_um * 1e-6, rhop=density, rho=DENSITY_25C, mu=VISCOSITY_25C)
    ours = settling.settling_mm_s(diameter_um=diameter_um, density_kg_m3=density)
    assert ours == pytest.approx(speed * 1000, rel=0.001 if diameter_um >= 200 else 0.005)


@pytest.mark.parametrize("method", ["Clift", "Haider_Levenspiel", "Almedeij"])
@pytest.mark.parametrize("diameter_um", [200, 1000, 2000])
def test_settling_speed_lies_among_other_drag_correlations(diameter_um: float, method: str) -> None:
    fluids = _library("fluids")
    speed = fluids.v_terminal(D=diameter_um * 1e-6, rhop=1050, rho=DENSITY_25C, mu=VISCOSITY_25C, Method=method)
    ours = settling.settling_mm_s(diameter_um=diameter_um, density_kg_m3=1050)
    assert ours == pytest.approx(speed * 1000, rel=0.05)


@pytest.mark.parametrize("porosity", [0.25, 0.40, 0.50])
@pytest.mark.parametrize("upflow", [1, 5, 36])
def test_bed_loss_agrees_with_fluids(upflow: float, porosity: float) -> None:
    fluids = _library("fluids")
    pa = fluids.packed_bed.Ergun(dp=0.02, voidage=porosity, vs=upflow / 3600, rho=DENSITY_25C, mu=VISCOSITY_25C, L=0.4)
    ours = hydraulics.bed_loss_pa_ERG52(upflow_m_per_h=upflow, grain_mm=20, porosity=porosity, depth_mm=400)
    assert ours == pytest.approx(pa, rel=1e-6)


@pytest.mark.parametrize("reynolds", [500, 5_000, 50_000, 500_000])
@pytest.mark.parametrize("roughness", [0, 1e-4, 1e-2])
def test_pipe_friction_agrees_with_fluids(reynolds: float, roughness: float) -> None:
    fluids = _library("fluids")
    ours = hydraulics.friction_factor_COL39(reynolds, relative_roughness=roughness)
    method = "laminar" if reynolds < 2040 else "Colebrook"
    expected = (
        64 / reynolds if method == "laminar" else fluids.friction_factor(Re=reynolds, eD=roughness, Method=method)
    )
    assert ours == pytest.approx(expected, rel=1e-6)


def test_flow_through_a_hole_agrees_with_fluids() -> None:
    """A free orifice is a metering orifice in a very wide pipe: fluids gives kg/s for a pressure drop."""
    fluids = _library("fluids")
    pressure = DENSITY_25C * 9.80665 * 0.10
    kg_s = fluids.flow_meter.flow_meter_discharge(
        D=10.0, Do=0.010, P1=101_325 + pressure, P2=101_325, rho=DENSITY_25C, C=0.62, expansibility=1.0
    )
    ours = hydraulics.orifice_l_per_h(diameter_mm=10, head_m=0.10)
    assert ours == pytest.approx(kg_s / DENSITY_25C * 3.6e6, rel=1e-4)


@pytest.mark.parametrize("upflow", [0.1, 0.6, 1.8, 3.0, 10, 60])
@pytest.mark.parametrize(("median", "gsd"), [(3, 6), (30, 5)])
def test_capture_is_the_tail_of_scipys_lognormal(upflow: float, median: float, gsd: float) -> None:
    _library("scipy")
    from math import log

    stats = _library("scipy.stats")
    ours = settling.capture_share(upflow, median_m_per_h=median, geometric_sd=gsd)
    assert ours == pytest.approx(float(stats.lognorm.sf(upflow, s=log(gsd), scale=median)), rel=1e-9)
