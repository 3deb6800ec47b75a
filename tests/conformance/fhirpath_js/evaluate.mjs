// Evaluates FHIRPath on resources. Argument: the release. Standard input, JSON lines:
// {"variables": [[name, expression]…], "expressions": […]} sets what the resources after it are asked,
// {"resource": …} asks it. Standard output, a JSON line a resource: a list for each expression, of lists of values, or
// a text where the engine refuses the expression.
import { createInterface } from "node:readline";
import fhirpath from "fhirpath";
import r4 from "fhirpath/fhir-context/r4/index.js";
import r5 from "fhirpath/fhir-context/r5/index.js";

const model = { R4: r4, R4B: r4, R5: r5 }[process.argv[2]];
const compiled = new Map();

function evaluate(resource, expression, environment) {
  if (!compiled.has(expression)) compiled.set(expression, fhirpath.compile(expression, model));
  return compiled.get(expression)(resource, environment);
}

function results(asked, resource) {
  const environment = { resource };
  for (const [name, expression] of asked.variables) {
    try {
      environment[name] = evaluate(resource, expression, environment);
    } catch (refused) {
      return asked.expressions.map(() => `%${name}: ${refused}`);
    }
  }
  return asked.expressions.map((expression) => {
    try {
      return evaluate(resource, expression, environment);
    } catch (refused) {
      return String(refused);
    }
  });
}

let asked;
for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  const question = JSON.parse(line);
  if (question.expressions) asked = question;
  else process.stdout.write(`${JSON.stringify(results(asked, question.resource))}\n`);
}
