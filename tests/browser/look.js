/* What is wrong with the page in this window and theme: run by test_every_page.py, with axe-core there already.

   Of rows of one list that are built alike, axe looks at two: it asks how things are marked up, not what their words
   are. Alike are rows with the same elements, classes, roles and attributes, empty or filled in the same places. */
async ({theme, of}) => {
    const root = document.documentElement;
    root.dataset.theme = theme;
    const wide = root.scrollWidth, room = root.clientWidth;
    const headings = [...document.querySelectorAll("h1, [role=heading][aria-level='1']")].filter(
        heading => heading.checkVisibility() && !heading.closest("[aria-hidden=true]")
    ).length;

    const telling = /^(class|role|type|data-v)$/;
    const build = one => one.tagName
        + [...one.attributes].map(({name, value}) => name + "=" + (telling.test(name) ? value : Boolean(value)))
        + [...one.childNodes].some(node => node.nodeType === Node.TEXT_NODE && node.data.trim());
    const left = [];
    for (const list of document.querySelectorAll("tbody, ul, ol, datalist, select")) {
        const seen = new Map();
        for (const row of [...list.children]) {
            const built = [row, ...row.querySelectorAll("*")].map(build).join();
            const before = seen.get(built) || 0;
            seen.set(built, before + 1);
            if (before >= 2) {
                left.push([row, row.parentNode, row.nextSibling]);
                row.remove();
            }
        }
    }

    // Without the rules that axe itself never calls serious or critical: what they find would be left out anyway.
    const others = axe._audit.rules.filter(
        rule => ["minor", "moderate"].includes(rule.impact) || (of.length && !of.includes(rule.id))
    );
    const rules = Object.fromEntries(others.map(rule => [rule.id, {enabled: false}]));
    const {violations} = await axe.run({resultTypes: ["violations"], selectors: false, rules});
    for (const [row, parent, next] of left.reverse()) parent.insertBefore(row, next);
    return {violations, wide, room, headings, title: document.title};
}
