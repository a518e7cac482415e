"""Small folders of CSV files, each as short as it can be and right."""

from pathlib import Path

SOURCED = "demo,demo,2026-01-15"
HEAD = "source,source_kind,dated_on"

CATALOGUE = {
    "sources.csv": "code,title,kind,year,note\ndemo,Invented,demo,2026,\n",
    "programmes.csv": "code,name\nmaternal,Maternal health\nmalaria,Malaria\n",
    "skills.csv": f"code,name,training_cost,trainer_days,supervision_cost,{HEAD}\n"
    f"staining,Staining,200,2.5,30,{SOURCED}\n",
    "infrastructure.csv": f"code,name,{HEAD}\nwater,Running water,{SOURCED}\n",
    "infrastructure_costs.csv": "infrastructure,level,cost\nwater,1,500\nwater,2,700\n",
    "device_classes.csv": "code,name\ncentrifuge,Centrifuge\n",
    "attributes.csv": "device_class,code,name,value_kind,ucum,comparator,radius,observation\n"
    "centrifuge,rcf_g,Force,number,[g],,r_max,measure the speed\n"
    "centrifuge,heads,Heads,list,,,,\n",
    "device_models.csv": "code,name,evidence,approval,is_low_cost,price,annual_cost,repair_cost,"
    f"hours_per_year,programmes,cautions,{HEAD}\n"
    f"spinner,Spinner,A,local,false,900,50,120,1500,maternal;malaria,,{SOURCED}\n",
    "served_classes.csv": "device_model,device_class\nspinner,centrifuge\n",
    "specifications.csv": f"device_model,device_class,attribute,value,{HEAD}\n"
    f"spinner,centrifuge,rcf_g,12000,{SOURCED}\n",
    "tests.csv": f"code,name,programme,weight,max_transport_hours,specimen,lowest_level,{HEAD}\n"
    f"haematocrit,Packed cell volume,maternal,1.5,8,blood,1,{SOURCED}\n",
    "methods.csv": "code,name,test,clinical_grade,sensitivity,sensitivity_source,"
    "sensitivity_kind,specificity,specificity_source,specificity_kind,cadre,batch_size,"
    "minutes_per_batch,minutes_per_sample,consumable_cost,biosafety,cautions,skills,"
    f"infrastructure,{HEAD}\n"
    "spun,Spun,haematocrit,routine,0.95,demo,demo,,,,K2,12,24,4,0.25,core,,staining,water,"
    f"{SOURCED}\n",
    "needs.csv": f"method,position,device_class,minutes_per_run,samples_per_run,{HEAD}\n"
    f"spun,1,centrifuge,36,12,{SOURCED}\n",
    "requirements.csv": f"method,position,attribute,comparator,value,{HEAD}\n"
    f"spun,1,rcf_g,min,10000,{SOURCED}\n",
}
REGISTER = {
    "areas.csv": "code,name,kind,parent,currency\n"
    "north,North,district,,USD\nupper,Upper block,block,north,USD\n",
    "facilities.csv": "code,name,area,level,latitude,longitude,population,testing_hours_per_year,"
    "power_source,power_hours_per_day,observed_on\n"
    "hill,Hill,upper,2,1.5,30,12000,1000,stable,24,2026-01-15\n"
    "ford,Ford,upper,1,1.6,30,,,unknown,,\n",
    "routes.csv": "origin,destination,hours,cost_per_specimen\nford,hill,3,0.4\n",
    "equipment.csv": "code,facility,device_model,serial_number,condition,reason,received_on,"
    "observed_on,basis,note\nn-1,hill,spinner,,in_use,,,2026-01-15,observed,\n",
    "skills_held.csv": "facility,skill,staff_count,last_trained_on,observed_on,basis\n"
    "hill,staining,2,2025-06-01,2026-01-15,observed\n",
    "infrastructure_held.csv": "facility,infrastructure,presence,observed_on,basis\n"
    "hill,water,present,2026-01-15,observed\n",
    "demand.csv": "facility,test,tests_per_year,basis,year\nhill,haematocrit,500,demo,2026\n",
}


def write_folder(folder: Path, files: dict[str, str], **changed: str | None) -> Path:
    """``files`` in ``folder``; ``changed``: name without suffix to another content, or none."""
    folder.mkdir(exist_ok=True)
    for name, content in (files | {f"{stem}.csv": text for stem, text in changed.items()}).items():
        path = folder / name
        if content is None:
            path.unlink(missing_ok=True)
        else:
            path.write_text(content, encoding="utf-8", newline="")
    return folder
