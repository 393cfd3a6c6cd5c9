using Rinsewright.Web.Tests;

[assembly: AssemblyFixture(typeof(Browser))]
[assembly: AssemblyFixture(typeof(DemoSite))]
