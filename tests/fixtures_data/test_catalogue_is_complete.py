"""Every test, every way of doing it and every class of device that was planned is there.

Tests follow the WHO list of essential in vitro diagnostics (1st to 4th list, structure seen,
test by test from memory), Indian Public Health Standards 2022 and the laboratory tracers of the
WHO general service readiness index (O'Neill 2013, Bull WHO 91:923).
"""

from tests.fixtures_data.tables import catalogue

# test: the methods it must have. Referral of a specimen is a route, not a method.
TESTS = {
    "haemoglobin": "cuvette photometry colour-scale analyser",
    "haematocrit": "spun hand-spun analyser",
    "white-cells": "chamber analyser",
    "full-blood-count": "analyser",
    "platelets": "chamber analyser",
    "blood-film": "oil",
    "sedimentation-rate": "sedimentation-westergren",
    "blood-group": "tile tube",
    "cross-match": "tube",
    "whole-blood-clotting": "tube",
    "prothrombin-inr": "prothrombin-manual prothrombin-coagulometer inr-strip",
    "sickle-cell": "rdt solubility",
    "g6pd": "rdt quantitative",
    "cd4": "enumerator strip",
    "glucose": "meter semi-auto dry",
    "hba1c": "immunoassay dry",
    "creatinine": "semi-auto dry cartridge",
    "urea": "semi-auto dry",
    "bilirubin": "semi-auto photometer dry",
    "alt-ast": "semi-auto dry",
    "alkaline-phosphatase": "semi-auto",
    "protein-albumin": "semi-auto photometer dry",
    "lipids": "semi-auto dry",
    "uric-acid": "semi-auto dry",
    "electrolytes": "ise cartridge",
    "lactate": "meter cartridge",
    "c-reactive-protein": "reader latex photometer",
    "troponin": "reader rdt",
    "tsh": "reader elisa",
    "urine-strip": "visual reader",
    "urine-protein": "heat acid",
    "urine-microscopy": "urine-sediment urine-sediment-battery urine-sediment-hand",
    "pregnancy": "strip",
    "albumin-creatinine-ratio": "albumin-creatinine-strip albumin-creatinine-immunoassay",
    "ketones": "meter",
    "malaria": "rdt-hrp2 rdt-pldh smear-thick fluorescent-capillary lamp",
    "malaria-species-density": "malaria-smear-thin",
    "stool-parasites": "stool-wet-mount stool-concentration",
    "helminth-eggs": "kato-katz-one kato-katz-two",
    "urinary-schistosomiasis": "haematobium-filtration haematobium-sediment"
    " haematobium-sediment-hand haematobium-phone",
    "filaria": "rdt film knott",
    "leishmaniasis": "rdt rdt-serum",
    "trypanosomiasis": "rdt capillary column",
    "leprosy": "slit-skin",
    "afb-smear": "afb-ziehl-neelsen afb-led-fluorescence afb-concentrated afb-bleach"
    " afb-naoh-fluorescence",
    "tb-naat": "cartridge battery tb-lamp",
    "urine-lam": "strip",
    "gram-stain": "oil",
    "genital-wet-preparation": "genital-wet-mount",
    "urine-culture": "plate",
    "blood-culture": "bottle",
    "typhoid": "rdt rdt-serum slide",
    "cholera": "rdt",
    "csf": "microscopy",
    "faecal-blood": "strip",
    "hiv": "rdt elisa",
    "hiv-viral-load": "cartridge plasma",
    "syphilis": "rdt rpr",
    "hepatitis-b": "rdt rdt-serum elisa",
    "hepatitis-c": "rdt elisa",
    "dengue": "rdt elisa",
    "cryptococcal-antigen": "cryptococcal-rdt cryptococcal-rdt-plasma",
    "respiratory-antigen": "rdt",
    "scrub-typhus-leptospirosis": "rdt elisa",
    "hpv": "cartridge",
    "semen": "chamber",
    "water-chlorine": "comparator",
    "water-coliforms": "water-membrane water-hydrogen-sulphide",
    "salt-iodine": "drop",
}
# class of device: the properties that describe it.
CLASSES = {
    "microscope": "magnification_total objective_na_40 objective_na_100 oil_immersion"
    " mechanical_stage",
    "fluorescence-illumination": "excitation_peak_nm barrier_nm led_life_h",
    "centrifuge": "rcf_max_g rcf_settable_min_g r_max_cm r_min_cm tube_ml tube_count swing_out"
    " lid_interlock sealed_cups continuous_run_min timer_max_min shortest_run_s gear_ratio"
    " shielded",
    "haemoglobin-photometer": "wavelengths_nm bias_g_dl cv_pct",
    "photometer": "wavelengths_nm bandwidth_nm absorbance_max drift_a_per_h",
    "chemistry-analyser": "wavelengths_nm cell_temp_c temp_tolerance_c aspiration_ul kinetic_mode"
    " open_reagent",
    "dry-chemistry-analyser": "analytes specimen_types cv_pct",
    "electrolyte-analyser": "analytes sample_ul potassium_error_mmol_l",
    "haematology-analyser": "analytes throughput_per_h open_reagent uninterruptible_supply",
    "blood-meter": "iso_15197_2013 haematocrit_range_pct",
    "urine-strip-reader": "analytes pads",
    "immunoassay-reader": "analytes min_per_test",
    "coagulometer": "analytes channels cv_pct",
    "inr-meter": "isi cv_pct",
    "naat-platform": "modules run_min operating_temp_c ingress_protection annual_calibration"
    " runs_per_charge",
    "isothermal-block": "set_temp_c temp_tolerance_c wells",
    "cd4-enumerator": "specimen_types min_per_test",
    "microplate-reader": "wavelengths_nm washer",
    "thermal-block": "set_temp_c temp_tolerance_c wells",
    "incubator": "set_temp_c temp_tolerance_c volume_l",
    "autoclave": "set_temp_c volume_l cycle_record",
    "laboratory-refrigerator": "temp_low_c temp_high_c volume_l holdover_h freeze_free",
    "rotator": "speed_range_rpm",
    "micropipette": "volume_ul systematic_error_pct",
    "water-still": "flow_l_per_h conductivity_us_cm",
    "safety-cabinet": "inflow_m_s hepa certified_on_year",
    "balance": "capacity_g readability_g",
    "power-supply": "apparent_power_va usable_energy_wh autonomy_d",
    "specimen-carrier": "holdover_h volume_l packaging_layers",
    "phone-microscope": "resolution_um field_mm image_capture camera_named",
    "pcv-reader": "graduation_pct",
    "counting-chamber": "ruling depth_mm",
    "esr-stand": "tilt_max_deg",
    "tachometer": "speed_range_rpm certificate instruments",
}


def test_every_test_has_every_way_of_doing_it():
    found: dict[str, set[str]] = {}
    for row in catalogue("methods"):
        found.setdefault(row["test"], set()).add(row["code"])
    wanted = {
        test: {way if way in found[test] else f"{test}-{way}" for way in ways.split()}
        for test, ways in TESTS.items()
    }

    assert found == wanted


def test_every_class_of_device_is_described_by_the_properties_that_matter():
    found: dict[str, set[str]] = {}
    for row in catalogue("attributes"):
        found.setdefault(row["device_class"], set()).add(row["code"])

    assert {
        name: lacking
        for name, wanted in CLASSES.items()
        if (lacking := set(wanted.split()) - found[name])
    } == {}


def test_every_property_says_what_measurement_settles_it():
    assert [row for row in catalogue("attributes") if len(row["observation"]) < 10] == []


def test_methods_ask_for_a_property_in_the_one_way_that_it_states():
    meant = {
        (row["device_class"], row["code"]): row["comparator"] for row in catalogue("attributes")
    }
    needed = {(row["method"], row["position"]): row["device_class"] for row in catalogue("needs")}

    assert {
        meant[needed[row["method"], row["position"]], row["attribute"]] == row["comparator"]
        for row in catalogue("requirements")
    } == {True}
