// Runs ViewDefinitions. Arguments: a folder of them. Standard input, JSON lines: a resource each. Standard output: a
// JSON object with the rows of each view by its name.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { evalSqlOnFhir } from "@medplum/core";

const folder = process.argv[2];
const resources = readFileSync(0, "utf8")
  .split("\n")
  .filter((line) => line)
  .map((line) => JSON.parse(line));
const rows = {};
for (const name of readdirSync(folder).sort()) {
  const view = JSON.parse(readFileSync(join(folder, name), "utf8"));
  rows[view.name] = evalSqlOnFhir(
    view,
    resources.filter((one) => one.resourceType === view.resource),
  );
}
process.stdout.write(JSON.stringify(rows));
