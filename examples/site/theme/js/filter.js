// Filters the rows of a table by words and by choices. Without it the table stands there whole.
for (const form of document.querySelectorAll('form.filter')) {
  const rows = [...document.getElementById(form.dataset.table).tBodies[0].rows]
  const texts = new Map(rows.map((row) => [row, plain(row.textContent)]))
  const words = form.querySelector('input[type=search]')
  const choices = [...form.querySelectorAll('select')]
  const state = form.querySelector('[role=status]')

  // Letters alone decide: no capitals, accents or double spaces.
  function plain(text) {
    return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/\s+/g, ' ')
  }

  function show() {
    const asked = plain(words.value).split(' ').filter(Boolean)
    const chosen = choices.filter((choice) => choice.value)
    let shown = 0
    for (const row of rows) {
      const fits =
        asked.every((word) => texts.get(row).includes(word)) &&
        chosen.every((choice) => (row.dataset[choice.name] ?? '').split(' ').includes(choice.value))
      row.hidden = !fits
      shown += fits
    }
    state.textContent = `${shown} of ${rows.length} rows shown`
  }

  form.addEventListener('input', show)
  form.addEventListener('reset', () => setTimeout(show))
  form.addEventListener('submit', (event) => event.preventDefault())
  words.value = new URLSearchParams(location.search).get('q') ?? ''
  form.hidden = false
  show()
  // A link that leads to a row shows it, whatever is filtered.
  addEventListener('hashchange', () => {
    const row = document.getElementById(decodeURIComponent(location.hash.slice(1)))
    if (row?.hidden) form.reset()
  })
}
