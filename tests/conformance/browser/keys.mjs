// Opens an HTML file in Chromium and goes through it by keyboard alone, step by step.
//
// Standard input: JSON with `page` (a path), `steps`, and `screenshot` (a path, or null). A step is `{press: key}`,
// `{type: text}`, `{until: selector}`, which presses Tab until that has the focus, or `{back: selector}`, which presses
// Shift and Tab. Standard output: after each step what has the focus, what status lines say, which rows are shown and
// how many hidden, what a search lists, and the address.

import fs from 'node:fs'
import { pathToFileURL } from 'node:url'
import { chromium } from 'playwright-core'

const MOST_TABS = 400
const task = JSON.parse(fs.readFileSync(0, 'utf8'))
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: process.getuid() === 0 ? ['--no-sandbox'] : [],
})
const page = await browser.newPage()
await page.goto(pathToFileURL(task.page).href)

function seen() {
  const shown = (one) => one.checkVisibility()
  const rows = [...document.querySelectorAll('tbody tr')]
  const focus = document.activeElement
  return {
    focus: focus.id || focus.textContent.trim().slice(0, 60),
    outlined: getComputedStyle(focus).outlineStyle !== 'none',
    status: [...document.querySelectorAll('[role=status]')].filter(shown).map((one) => one.textContent),
    shown: rows.filter(shown).map((one) => one.id),
    hidden: rows.filter((one) => !shown(one)).length,
    results: [...document.querySelectorAll('.results a')].filter(shown).map((one) => one.getAttribute('href')),
    address: location.href,
  }
}

const found = []
for (const step of task.steps) {
  if (step.press) await page.keyboard.press(step.press)
  if (step.type) await page.keyboard.type(step.type)
  const wanted = step.until ?? step.back
  if (wanted) {
    let count = 0
    while (!(await page.evaluate((selector) => document.activeElement.matches(selector), wanted))) {
      if (count === MOST_TABS) throw new Error(`no Tab reaches ${wanted}`)
      await page.keyboard.press(step.back ? 'Shift+Tab' : 'Tab')
      count += 1
    }
  }
  // What a key sets going is over once nothing is busy and two frames were drawn.
  await page.waitForLoadState()
  await page.waitForFunction(() => !document.querySelector('[aria-busy=true]'))
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))))
  found.push(await page.evaluate(seen))
}
if (task.screenshot) await page.screenshot({ path: task.screenshot })
await browser.close()
process.stdout.write(JSON.stringify(found))
