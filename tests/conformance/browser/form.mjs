// Draws a Questionnaire in a general open-source form renderer and fills it with the keyboard alone.
//
// Standard input: JSON with `questionnaire`, `release` (R4, R4B, R5), `steps` and `screenshots` (a folder, or null).
// A step is {"item": linkId, "at": "1/2", "type": item type, "control": "", "values": […]}, where `at` counts the instances of
// each level from 1, or {"add": linkId, "at": "1"} for one more instance of what repeats.
// Standard output: JSON with the response that the renderer exports, what is shown, what `axe-core` finds, and what
// went wrong on the page.

import fs from 'node:fs'
import http from 'node:http'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import axe from 'axe-core'
import { chromium } from 'playwright-core'

const HERE = path.dirname(fileURLToPath(import.meta.url))
const RENDERER = path.join(HERE, 'node_modules', 'lforms', 'dist', 'lforms')
const TYPES = { '.css': 'text/css', '.js': 'text/javascript', '.png': 'image/png', '.svg': 'image/svg+xml' }
const MOST_TABS = 4000

const task = JSON.parse(fs.readFileSync(0, 'utf8'))

const PAGE = `<!DOCTYPE html>
<html lang="en">
<head><meta charset="utf-8"><title>Examination</title><base href="/webcomponent/">
<link rel="icon" href="data:,"><link rel="stylesheet" href="styles.css"></head>
<body><main><h1>Examination</h1><div id="form"></div></main>
<script src="assets/lib/zone.min.js"></script>
<script src="runtime.js" type="module"></script>
<script src="polyfills.js" type="module"></script>
<script src="main.js" type="module"></script>
<script src="/fhir/${task.release}/lformsFHIR.min.js" defer></script>
</body></html>`

function serve(request, response) {
  const wanted = new URL(request.url, 'http://127.0.0.1').pathname
  if (wanted === '/') {
    response.setHeader('content-type', 'text/html; charset=utf-8')
    return response.end(PAGE)
  }
  const file = path.join(RENDERER, decodeURIComponent(wanted))
  if (!file.startsWith(RENDERER + path.sep) || !fs.existsSync(file)) {
    response.statusCode = 404
    return response.end()
  }
  response.setHeader('content-type', TYPES[path.extname(file)] ?? 'application/octet-stream')
  return fs.createReadStream(file).pipe(response)
}

const server = http.createServer(serve)
await new Promise((started) => server.listen(0, '127.0.0.1', started))
const origin = `http://127.0.0.1:${server.address().port}`
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: process.getuid() === 0 ? ['--no-sandbox'] : [],
})
const page = await browser.newPage({ viewport: { width: 1200, height: 1600 }, timezoneId: 'Europe/Paris' })
const wrong = []
page.on('console', (message) => message.type() === 'error' && wrong.push(message.text()))
page.on('pageerror', (error) => wrong.push(error.message))
page.on('request', (request) => {
  const url = request.url()
  if (!url.startsWith(origin) && !url.startsWith('data:')) wrong.push(`asked elsewhere: ${url}`)
})
await page.goto(`${origin}/`)
await page.waitForFunction(() => window.LForms?.Util?.addFormToPage && window.LForms.FHIR)
const began = Date.now()
await page.evaluate(async ([questionnaire, release]) => {
  const form = LForms.Util.convertFHIRQuestionnaireToLForms(questionnaire, release)
  await LForms.Util.addFormToPage(form, 'form', {})
}, [task.questionnaire, task.release])
await page.waitForSelector('#form [id^="item-"]', { state: 'attached', timeout: 240000 })
const drawn = Date.now() - began

async function picture(name) {
  if (task.screenshots) await page.screenshot({ path: path.join(task.screenshots, `${name}.png`), fullPage: true })
}

// What the keyboard is on: the id of the innermost item, and that of the element.
function focused() {
  return page.evaluate(() => {
    const at = document.activeElement
    return { item: at.closest('[id^="item-"]')?.id.slice(5) ?? '', id: at.id, kind: at.type ?? at.tagName, tag: at.tagName }
  })
}

async function tabTo(reached, what) {
  for (let count = 0; count <= MOST_TABS; count += 1) {
    const at = await focused()
    if (reached(at)) return at
    await page.keyboard.press('Tab')
  }
  throw new Error(`the keyboard never reaches ${what}`)
}

function options() {
  return page.evaluate(() => [...document.querySelectorAll('#completionOptions li')].map((one) => one.textContent.trim()))
}

// Types until the list offers the words, and takes the one that has exactly them.
async function choose(words) {
  await page.keyboard.type(words)
  await page.waitForFunction((wanted) => [...document.querySelectorAll('#completionOptions li')]
    .some((one) => one.textContent.trim().replace(/^\d+:\s*/, '') === wanted), words)
  const offered = (await options()).map((one) => one.replace(/^\d+:\s*/, ''))
  for (let down = 0; down <= offered.indexOf(words); down += 1) await page.keyboard.press('ArrowDown')
  await page.keyboard.press('Enter')
}

async function answer(step) {
  const here = `${step.item}/${step.at}`
  if (step.control === 'radio-button' || step.type === 'boolean') {
    // A group of radio buttons takes the keyboard once; the arrows move within it.
    await tabTo((at) => at.item === here && at.kind === 'radio', here)
    const labels = await page.evaluate((item) => [...document.getElementById(`item-${item}`).querySelectorAll('label.lhc-answer, label[nz-radio]')]
      .map((one) => one.textContent.trim()), here)
    await page.keyboard.press('Space')
    for (let down = 0; down < labels.indexOf(step.values[0]); down += 1) await page.keyboard.press('ArrowDown')
    return
  }
  await tabTo((at) => at.item === here && ['INPUT', 'TEXTAREA'].includes(at.tag) && !at.id.startsWith('unit_'), here)
  for (const [place, value] of step.values.entries()) {
    if (['choice', 'open-choice', 'coding'].includes(step.type)) await choose(value)
    else {
      if (place > 0) {
        await tabTo((at) => at.id.startsWith(`add-${step.item}/`), `add-${here}`)
        await page.keyboard.press('Enter')
        await page.waitForTimeout(50)
        const next = `${step.item}/${step.at.replace(/\d+$/, String(place + 1))}`
        await tabTo((at) => at.item === next && ['INPUT', 'TEXTAREA'].includes(at.tag), next)
      }
      await page.keyboard.type(String(value))
    }
  }
}

let failed = null
const started = Date.now()
await picture('empty')
try {
  for (const step of task.steps) {
    if (step.add) {
      const button = `add-${step.add}/${step.at}`
      await tabTo((at) => at.id === button, button)
      await page.keyboard.press('Enter')
      await page.waitForTimeout(50)
    } else await answer(step)
  }
  await page.keyboard.press('Tab')
  await page.waitForTimeout(500)
} catch (error) {
  failed = error.message
}
const filled = Date.now() - started
await picture('filled')

await page.evaluate(axe.source)
const findings = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }))
const shown = await page.evaluate(() => [...document.querySelectorAll('[id^="item-"]')]
  .filter((one) => one.offsetParent !== null).map((one) => one.id.slice(5)))
const values = await page.evaluate(() => Object.fromEntries([...document.querySelectorAll('[id^="item-"]')]
  .map((one) => [one.id.slice(5), one.querySelector(':scope input, :scope textarea')?.value ?? null])))
const response = await page.evaluate((release) => LForms.Util.getFormFHIRData('QuestionnaireResponse', release), task.release)
await browser.close()
server.close()

process.stdout.write(JSON.stringify({
  response,
  shown,
  values,
  failed,
  wrong,
  drawn,
  filled,
  axe: findings.violations.flatMap((one) => one.nodes.map((node) => ({ rule: one.id, target: node.target.join(' '), html: node.html }))),
}))
