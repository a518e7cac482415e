from django.core.validators import MinValueValidator
from django.db import models

from apps.catalogue.models import DeviceModel
from apps.inventory.choices import Arrival, Condition, Known, Reason
from apps.inventory.models.holdings import Holding


class EquipmentFile(models.Model):
    """What the file of one device keeps (ISO 15189:2022, 6.4.7; WHO handbook of 2011 for cost
    and contact). Blank is not known.
    """

    manufacturer = models.CharField(max_length=120, blank=True)
    supplier = models.CharField(max_length=120, blank=True, help_text="or who gave it")
    software_version = models.CharField(max_length=60, blank=True)
    manufactured_on = models.DateField(null=True, blank=True)
    purchased_on = models.DateField(null=True, blank=True)
    accepted_on = models.DateField(null=True, blank=True, help_text="acceptance test passed")
    in_service_on = models.DateField(null=True, blank=True, help_text="first used for patients")
    condition_when_received = models.CharField(max_length=20, choices=Arrival, blank=True)
    conformity_document = models.CharField(
        max_length=200, blank=True, help_text="certificate or acceptance report, and where it is"
    )
    location = models.CharField(max_length=120, blank=True, help_text="room or bench")
    instructions_held = models.CharField(max_length=3, choices=Known, blank=True)
    maintenance_programme = models.CharField(max_length=3, choices=Known, blank=True)
    last_calibrated_on = models.DateField(null=True, blank=True)
    calibration_due_on = models.DateField(null=True, blank=True)
    last_serviced_on = models.DateField(null=True, blank=True)
    service_due_on = models.DateField(null=True, blank=True)
    warranty_until = models.DateField(null=True, blank=True)
    contract = models.CharField(max_length=120, blank=True, help_text="service contract; or none")
    contract_until = models.DateField(null=True, blank=True)
    purchase_cost = models.DecimalField(
        max_digits=14,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="in the currency of the district",
    )
    contact = models.CharField(
        max_length=200, blank=True, help_text="office to call for service; no private person"
    )

    class Meta:
        abstract = True


class EquipmentItem(EquipmentFile, Holding):
    """One device at one facility."""

    code = models.SlugField(max_length=60, unique=True, help_text="inventory number")
    device_model = models.ForeignKey(DeviceModel, on_delete=models.PROTECT, related_name="items")
    serial_number = models.CharField(max_length=80, blank=True)
    condition = models.CharField(max_length=20, choices=Condition, default=Condition.UNKNOWN)
    reason = models.CharField(max_length=30, choices=Reason, default=Reason.NONE, blank=True)
    received_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["facility__code", "code"]

    def __str__(self) -> str:
        return f"{self.code} {self.device_model}"
