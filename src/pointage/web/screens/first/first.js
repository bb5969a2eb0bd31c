// The browser knows the zone of its clock; what stands in the field is only the country's first.

const town = document.getElementById("town");
const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
if (town && zone?.includes("/") && town.value === town.defaultValue) town.value = zone;
