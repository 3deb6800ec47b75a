// Opens HTML files in Chromium, each in several ways, and tells what a reader would meet.
//
// Standard input: JSON with `pages` (paths by name), `ways` (by name: `width`, `height`, `scale`, `colorScheme`,
// `forcedColors`, `script` (false keeps the page's own from it), `pdf`), and `folder`, where a screenshot for each page and way and a PDF go.
// Standard output: for each page and way what `axe-core` finds, what was asked for over the network, what the console
// said, what is wider than the window or cut off, the text in order, and what the Tab key reaches.

import fs from 'node:fs'
import path from 'node:path'
import { pathToFileURL } from 'node:url'
import axe from 'axe-core'
import { chromium } from 'playwright-core'

const task = JSON.parse(fs.readFileSync(0, 'utf8'))
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: process.getuid() === 0 ? ['--no-sandbox'] : [],
})

// Elements that stick out of the window, and elements whose own content is cut off.
function clipped() {
  const found = []
  const wide = document.documentElement.clientWidth
  if (document.documentElement.scrollWidth > wide) found.push(`page: ${document.documentElement.scrollWidth} of ${wide}`)
  for (const one of document.body.querySelectorAll('*')) {
    if (one.closest('svg') && one.tagName !== 'svg') continue
    const box = one.getBoundingClientRect()
    if (box.width && (box.left < -1 || box.right > wide + 1)) found.push(`${one.outerHTML.slice(0, 80)}: ${box.left} to ${box.right}`)
    const hides = getComputedStyle(one).overflow !== 'visible' && one.tagName !== 'svg' && one.tagName !== 'IMG'
    if (hides && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1)) found.push(`cut: ${one.outerHTML.slice(0, 80)}`)
  }
  return found
}

async function look(file, way, screenshot, pdf) {
  const page = await browser.newPage({
    viewport: { width: way.width ?? 1280, height: way.height ?? 900 },
    deviceScaleFactor: way.scale ?? 1,
    colorScheme: way.colorScheme ?? 'light',
    forcedColors: way.forcedColors ?? 'none',
  })
  // The checker is a script itself, so scripts are kept from the page, not from the browser.
  if (way.script === false) await page.route('**/*.js', (route) => route.abort())
  const asked = []
  const said = []
  page.on('request', (request) => asked.push(request.url()))
  page.on('console', (message) => said.push(message.text()))
  page.on('pageerror', (error) => said.push(error.message))
  const address = pathToFileURL(file).href
  await page.goto(address)
  const found = {
    asked: asked.filter((url) => url !== address && !url.startsWith('data:')),
    harmed: await page.evaluate(() => window.harmed ?? null),
    clipped: await page.evaluate(clipped),
    text: await page.evaluate(() => document.body.innerText),
    paper: await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor),
    pictures: await page.evaluate(() => [...document.images].map((one) => one.complete && one.naturalWidth > 0)),
  }
  const reached = []
  for (let count = 0; count < 5; count += 1) {
    await page.keyboard.press('Tab')
    reached.push(await page.evaluate(() => document.activeElement.tagName))
  }
  found.reached = reached
  found.said = [...said]
  await page.screenshot({ path: screenshot, fullPage: true })
  if (pdf) {
    await page.emulateMedia({ media: 'print' })
    await page.pdf({ path: pdf, preferCSSPageSize: true, printBackground: false })
    await page.emulateMedia({ media: 'screen' })
  }
  await page.evaluate(axe.source)
  const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations', 'incomplete'] }))
  const nodes = (list) => list.flatMap((one) => one.nodes.map((node) => `${one.id}: ${node.html.slice(0, 160)}`))
  found.violations = nodes(result.violations)
  found.undecided = nodes(result.incomplete)
  found.passed = result.passes.map((one) => one.id)
  await page.close()
  return found
}

const answer = {}
for (const [name, file] of Object.entries(task.pages)) {
  answer[name] = {}
  for (const [called, way] of Object.entries(task.ways)) {
    const at = path.join(task.folder, `${name}-${called}`)
    answer[name][called] = await look(file, way, `${at}.png`, way.pdf ? `${at}.pdf` : null)
  }
}
await browser.close()
process.stdout.write(JSON.stringify(answer))
